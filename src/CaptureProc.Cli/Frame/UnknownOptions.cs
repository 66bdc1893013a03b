using System.CommandLine;
using System.CommandLine.Parsing;
using CaptureProc.Session;

namespace CaptureProc.Cli.Frame;

/// <summary>A mistyped option is called that, and not a missing file.</summary>
internal static class UnknownOptions
{
    // Two slips of the finger; more, and it was another word.
    private const int LikenessLimit = 2;

    /// <summary>Refuses a word that looks like an option but is none. Behind <c>--</c> every word is a file.</summary>
    public static void Refuse(ParseResult parsed, string[] args)
    {
        var filesFrom = Array.IndexOf(args, "--") is >= 0 and var at ? at : args.Length;
        var words = parsed.CommandResult.Children.SelectMany(Words).Concat(parsed.UnmatchedTokens);
        if (words.FirstOrDefault(w => LooksLikeOption(w) && Array.IndexOf(args, w) is var i && i < filesFrom) is not { } word)
            return;
        var name = word.Split('=', 2)[0];
        var command = parsed.CommandResult.Command;
        var of = command is RootCommand ? "" : $" of '{command.Name}'";
        var meant = Nearest(name, Known(parsed)) is { } near ? $"; is {near} meant? See" : "; see";
        throw new UnusableInputException("bad-arguments", $"there is no option '{name}'{of}{meant} 'captureproc {(command is RootCommand ? "" : command.Name + " ")}--help'");
    }

    private static IEnumerable<string> Words(SymbolResult result) => result is ArgumentResult or OptionResult { Implicit: false }
        ? result.Tokens.Select(t => t.Value).Where(value => result is ArgumentResult || value.StartsWith("--", StringComparison.Ordinal))
        : [];

    // A minus before a digit is a number.
    private static bool LooksLikeOption(string word) => word is ['-', not (>= '0' and <= '9' or '.'), ..] && word != "--";

    private static IEnumerable<string> Known(ParseResult parsed)
    {
        var options = parsed.CommandResult.Command.Options.AsEnumerable();
        for (var result = parsed.CommandResult.Parent as CommandResult; result is not null; result = result.Parent as CommandResult)
            options = options.Concat(result.Command.Options.Where(o => o.Recursive));
        return options.Where(o => !o.Hidden).Select(o => o.Name);
    }

    private static string? Nearest(string name, IEnumerable<string> known)
    {
        var nearest = known.Select(k => (Name: k, Steps: Steps(name.ToLowerInvariant(), k))).OrderBy(k => k.Steps).FirstOrDefault();
        if (nearest.Name is not null && nearest.Steps <= LikenessLimit)
            return nearest.Name;
        return name.Length > 3 ? known.FirstOrDefault(k => k.StartsWith(name, StringComparison.OrdinalIgnoreCase)) : null;
    }

    /// <summary>How many letters have to be put in, left out or exchanged (Levenshtein 1966).</summary>
    private static int Steps(string a, string b)
    {
        var row = Enumerable.Range(0, b.Length + 1).ToArray();
        for (var i = 1; i <= a.Length; i++)
        {
            var diagonal = row[0];
            row[0] = i;
            for (var j = 1; j <= b.Length; j++)
            {
                var exchanged = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.Min(exchanged, 1 + Math.Min(row[j], row[j - 1]));
            }
        }
        return row[^1];
    }
}
