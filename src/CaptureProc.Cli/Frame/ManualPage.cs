using System.CommandLine;
using System.Text;

namespace CaptureProc.Cli.Frame;

/// <summary>Manual pages in the language of man(7), out of the commands' own help.</summary>
internal static class ManualPage
{
    /// <summary>The page of the program: all commands in the order of the work.</summary>
    public static string OfProgram(RootCommand root)
    {
        var page = Begin("captureproc", "line up, measure, convert and mix a tetrahedral microphone with its spots", "\\fBcaptureproc\\fR \\fICOMMAND\\fR …", root.Description);
        foreach (var group in CommandList.Groups)
        {
            page.Append(".SS ").Append(Escape(group.Heading)).Append('\n');
            foreach (var (name, _) in group.Commands)
                Entry(page, $"\\fB{Escape(name)}\\fR", root.Subcommands.First(c => c.Name == name).Description);
        }
        page.Append(".SH OPTIONS\n");
        foreach (var option in root.Options.Where(o => !o.Hidden))
            Entry(page, $"\\fB{Escape(HelpPage.Term(option))}\\fR", option.Description);
        return End(page, CommandList.Groups.SelectMany(g => g.Commands).Select(c => $"captureproc-{c.Name}"));
    }

    public static string OfCommand(Command command, RootCommand root)
    {
        var words = string.Join(' ', command.Arguments.Select(a => $"\\fI{Escape(HelpPage.Term(a))}\\fR").Prepend($"\\fBcaptureproc {Escape(command.Name)}\\fR").Append("[\\fIoptions\\fR]"));
        var page = Begin($"captureproc-{command.Name}", Purpose(command), words, command.Description);
        if (command.Arguments.Count > 0)
            page.Append(".SH ARGUMENTS\n");
        foreach (var argument in command.Arguments)
            Entry(page, $"\\fI{Escape(argument.Name)}\\fR", HelpPage.Text(argument));
        page.Append(".SH OPTIONS\n");
        foreach (var option in HelpPage.OptionsOf(command, root))
            Entry(page, $"\\fB{Escape(HelpPage.Term(option))}\\fR", option.Description);
        return End(page, ["captureproc"]);
    }

    // NAME is what whatis(1) shows: one line without a full stop.
    private static string Purpose(Command command)
    {
        var first = (command.Description ?? "").Split(". ")[0].TrimEnd('.');
        return char.ToLowerInvariant(first[0]) + first[1..];
    }

    private static StringBuilder Begin(string name, string purpose, string synopsis, string? description) => new StringBuilder()
        .Append($".TH {Escape(name.ToUpperInvariant())} 1 \"\" \"captureproc {Escape(VersionWords.Text)}\" \"CaptureProc\"\n")
        .Append($".SH NAME\n{Escape(name)} \\- {Escape(purpose)}\n.SH SYNOPSIS\n{synopsis}\n.SH DESCRIPTION\n{Escape(description ?? "")}\n");

    private static string End(StringBuilder page, IEnumerable<string> others)
    {
        page.Append(".SH EXIT STATUS\n");
        Entry(page, "0", "Done and within tolerance.");
        Entry(page, "1", "Done, but something needs attention; what it is, is said.");
        Entry(page, "2", "Input or arguments unusable: one line says what, where, and how to mend it.");
        return page.Append(".SH SEE ALSO\n").AppendJoin(",\n", others.Select(o => $"\\fB{Escape(o)}\\fR(1)")).Append('\n').ToString();
    }

    private static void Entry(StringBuilder page, string term, string? text) => page.Append($".TP\n{term}\n{Escape(text ?? "")}\n");

    // A backslash begins a command, a hyphen would be set as one that breaks words, and a line must not begin with a full stop or a quote.
    private static string Escape(string text)
    {
        var plain = text.Replace("\\", "\\e", StringComparison.Ordinal).Replace("-", "\\-", StringComparison.Ordinal);
        return plain is ['.' or '\'', ..] ? $"\\&{plain}" : plain;
    }
}
