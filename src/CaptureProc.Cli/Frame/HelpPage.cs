using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using System.Text;

namespace CaptureProc.Cli.Frame;

/// <summary>What <c>--help</c> shows: a command's own words, each usual value said once, in the words that may be typed.</summary>
internal sealed class HelpPage : SynchronousCommandLineAction
{
    private const int Width = 80;
    private const int LongestTerm = 26;

    public override bool ClearsParseErrors => true;

    public override int Invoke(ParseResult parseResult)
    {
        var output = parseResult.InvocationConfiguration.Output;
        output.Write(parseResult.CommandResult.Command is RootCommand root ? OfProgram(root) : OfCommand(parseResult.CommandResult.Command, parseResult.RootCommandResult.Command));
        return Desk.Done;
    }

    private static string OfProgram(RootCommand root)
    {
        var page = new StringBuilder();
        page.Append("captureproc COMMAND …\n\n");
        Paragraph(page, root.Description);
        foreach (var group in CommandList.Groups)
        {
            page.Append('\n').Append(group.Heading).Append('\n');
            Entries(page, group.Commands.Select(c => (c.Name, root.Subcommands.First(s => s.Name == c.Name).Description ?? "")));
        }
        page.Append('\n');
        Paragraph(page, "'captureproc COMMAND --help' tells the options of each. Where the folder holds one session only, it need not be named. Files whose names begin with a hyphen stand behind '--'.");
        Paragraph(page, "Exit codes: 0 done and within tolerance; 1 done, but something needs attention; 2 input or arguments unusable.");
        page.Append('\n');
        Entries(page, root.Options.Where(o => !o.Hidden).Select(o => (Term(o), o.Description ?? "")));
        return page.ToString();
    }

    private static string OfCommand(Command command, Command root)
    {
        var page = new StringBuilder();
        page.Append($"captureproc {command.Name}");
        foreach (var argument in command.Arguments)
            page.Append(' ').Append(Term(argument));
        page.Append(" [options]\n\n");
        Paragraph(page, command.Description);
        page.Append('\n');
        Entries(page, command.Arguments.Select(a => (a.Name, Text(a))));
        if (command.Arguments.Count > 0)
            page.Append('\n');
        Entries(page, OptionsOf(command, root).Select(o => (Term(o), o.Description ?? "")));
        return page.ToString();
    }

    /// <summary>What an argument is.</summary>
    public static string Text(Argument argument) =>
        argument.Description + (argument.Name == SessionHere.ArgumentName ? " Need not be named where the folder holds one only." : "");

    /// <summary>The options of a command that are shown, with those that every command has.</summary>
    public static IEnumerable<Option> OptionsOf(Command command, Command root) => command.Options.Concat(root.Options.Where(o => o.Recursive)).Where(o => !o.Hidden);

    /// <summary>An argument as it stands in the line; what may be left out, in brackets.</summary>
    public static string Term(Argument argument) =>
        argument.Arity.MinimumNumberOfValues == 0 || argument.Name == SessionHere.ArgumentName ? $"[{argument.Name}]" : argument.Name;

    /// <summary>An option with what it takes.</summary>
    public static string Term(Option option) => option is HelpOption ? "-h, --help" : option.HelpName is { } value ? $"{option.Name} {value}" : option.Name;

    private static void Entries(StringBuilder page, IEnumerable<(string Term, string Text)> entries)
    {
        var all = entries.ToList();
        var indent = 4 + all.Select(e => e.Term.Length).Where(n => n <= LongestTerm).DefaultIfEmpty(LongestTerm).Max();
        foreach (var (term, text) in all)
        {
            var head = $"  {term}";
            // A long term has a line of its own, so that the others keep their column.
            page.Append(head.Length + 2 > indent ? $"{head}\n{new string(' ', indent)}" : head.PadRight(indent));
            page.Append(string.Join("\n" + new string(' ', indent), Lines(text, Width - indent))).Append('\n');
        }
    }

    private static void Paragraph(StringBuilder page, string? text) => page.Append(string.Join('\n', Lines(text ?? "", Width))).Append('\n');

    private static IEnumerable<string> Lines(string text, int width)
    {
        var line = new StringBuilder();
        foreach (var word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            if (line.Length > 0 && line.Length + 1 + word.Length > width)
            {
                yield return line.ToString();
                line.Clear();
            }
            line.Append(line.Length > 0 ? " " : "").Append(word);
        }
        yield return line.ToString();
    }
}
