using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;

namespace CaptureProc.Cli.Frame;

/// <summary>Options with values that are checked where they are read, so that the message can say what is allowed.</summary>
internal static class Values
{
    /// <summary>A number with its range; null where the option is not given.</summary>
    public static Option<double?> Number(string name, string help, string unit, double min, double max) => new(name)
    {
        Description = help,
        HelpName = unit,
        CustomParser = result => ParseNumber(result, name, min, max),
    };

    /// <summary>Numbers with commas between them, each with its range; empty where the option is not given.</summary>
    public static Option<double[]> Numbers(string name, string help, string unit, double min, double max) => new(name)
    {
        Description = help,
        HelpName = $"{unit},…",
        DefaultValueFactory = _ => [],
        CustomParser = result =>
        {
            var words = result.Tokens[^1].Value.Split(',', StringSplitOptions.TrimEntries);
            var values = new double[words.Length];
            for (var i = 0; i < words.Length; i++)
                if (!TryParseNumber(words[i], out values[i]) || values[i] < min || values[i] > max)
                {
                    result.AddError(FormattableString.Invariant($"{name} has '{words[i]}'; it has to be numbers from {min:0.###} to {max:0.###} with commas between them"));
                    return [];
                }
            return values;
        },
    };

    /// <summary>One word of several.</summary>
    public static Option<T> Choice<T>(string name, string help, T usual, params (string Word, T Value)[] choices) => new(name)
    {
        // Where the usual value has no word of its own, the help says how it is found.
        Description = Array.Find(choices, c => Equals(c.Value, usual)).Word is { } word ? $"{help} Usually {word}." : help,
        HelpName = string.Join('|', choices.Select(c => c.Word)),
        DefaultValueFactory = _ => usual,
        CustomParser = result =>
        {
            var word = result.Tokens[^1].Value;
            foreach (var choice in choices)
                if (string.Equals(choice.Word, word, StringComparison.OrdinalIgnoreCase))
                    return choice.Value;
            result.AddError($"{name} is '{word}'; it has to be {string.Join(" or ", choices.Select(c => c.Word))}");
            return default;
        },
    };

    /// <summary>A text; null where the option is not given.</summary>
    public static Option<string?> Text(string name, string help, string what) => new(name) { Description = help, HelpName = what };

    /// <summary>A text that may be given several times.</summary>
    public static Option<string[]> Texts(string name, string help, string what) => new(name)
    {
        Description = help,
        HelpName = what,
        Arity = new ArgumentArity(1, 1000),
        AllowMultipleArgumentsPerToken = false,
        DefaultValueFactory = _ => [],
    };

    /// <summary>A spelling that earlier versions had: still understood, no longer shown.</summary>
    public static Option<T> FormerlyCalled<T>(this Option<T> option, string name)
    {
        option.Aliases.Add(name);
        return option;
    }

    public static bool TryParseNumber(string text, out double value) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);

    private static double? ParseNumber(ArgumentResult result, string name, double min, double max)
    {
        var text = result.Tokens[^1].Value;
        if (TryParseNumber(text, out var value) && value >= min && value <= max)
            return value;
        result.AddError(FormattableString.Invariant($"{name} is '{text}'; it has to be a number from {min:0.###} to {max:0.###}"));
        return null;
    }
}
