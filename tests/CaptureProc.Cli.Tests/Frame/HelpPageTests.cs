using System.Text.RegularExpressions;

namespace CaptureProc.Cli.Tests.Frame;

public partial class HelpPageTests
{
    /// <summary>As the work goes: what stands later in the list is done later in the evening.</summary>
    private static readonly string[] OrderOfTheWork =
        ["start", "signal", "level", "patch", "plan", "measure", "convert", "align", "mix", "listen", "deliver", "report", "publish"];

    public static TheoryData<string> Commands => [.. CommandNames()];

    [Fact]
    public void CommandsStandInTheOrderOfTheWork() =>
        Assert.Equal(OrderOfTheWork, CommandNames().Where(OrderOfTheWork.Contains));

    [Theory]
    [MemberData(nameof(Commands))]
    public void EveryCommandExplainsItself(string name)
    {
        var result = CommandLine.Run(name, "--help");

        Assert.Equal((0, ""), (result.ExitCode, result.Error));
        Assert.StartsWith($"captureproc {name}", result.Out, StringComparison.Ordinal);
        Assert.Contains("  --json ", result.Out, StringComparison.Ordinal);
        Assert.Contains("  -h, --help ", result.Out, StringComparison.Ordinal);
        Assert.All(result.Out.Split('\n'), line => Assert.True(line.Length <= 80, line));
    }

    // The usual value is told by the description, in words that can be typed; never a second time, nor as the code calls it.
    [Theory]
    [MemberData(nameof(Commands))]
    public void UsualValuesAreSaidOnceAndNotInTheWordsOfTheCode(string name)
    {
        var help = CommandLine.Run(name, "--help").Out;

        Assert.DoesNotContain("[default", help, StringComparison.Ordinal);
        Assert.DoesNotMatch(InternalName(), help);
        foreach (var option in OptionEntry().Matches(help).Select(m => m.Value))
            Assert.True(option.Split("Usually").Length <= 3, option);
    }

    [Theory]
    [InlineData("level", "REC.wav…")]
    [InlineData("mix", "TAKE.wav… OUT.wav")]
    [InlineData("report", "OUT.html")]
    public void SessionMayBeLeftOut(string name, string rest) =>
        Assert.StartsWith($"captureproc {name} [SESSION] {rest}", CommandLine.Run(name, "--help").Out, StringComparison.Ordinal);

    // One word, one meaning: a name that two commands share takes the same kind of value in both.
    [Fact]
    public void NoOptionMeansTwoThings()
    {
        var values = new Dictionary<string, HashSet<string>>(StringComparer.Ordinal);
        foreach (var name in CommandNames())
            foreach (Match match in OptionTerm().Matches(CommandLine.Run(name, "--help").Out))
                (values.TryGetValue(match.Groups["name"].Value, out var seen) ? seen : values[match.Groups["name"].Value] = []).Add(match.Groups["value"].Value);

        foreach (var (option, kinds) in new Dictionary<string, string[]>
        {
            ["--from"] = ["SECONDS"], ["--to"] = ["SECONDS"], ["--format"] = ["ambix|fuma"], ["--level"] = ["DBFS"], ["--set"] = ["PARAMETER=VALUE"], ["--trim"] = ["SET"],
        })
            Assert.Equal(kinds, values[option]);
    }

    private static List<string> CommandNames() => [.. CommandEntry().Matches(CommandLine.Run("--help").Out.Split("'captureproc COMMAND")[0]).Select(m => m.Groups[1].Value)];

    [GeneratedRegex("(?m)^  ([a-z]+) ")]
    private static partial Regex CommandEntry();

    [GeneratedRegex("(?m)^  (?<name>--[a-z-]+) ?(?<value>\\S*)")]
    private static partial Regex OptionTerm();

    [GeneratedRegex("(?ms)^  --.*?(?=^  -|\\z)")]
    private static partial Regex OptionEntry();

    [GeneratedRegex("Pcm24|Float32|AmbiX\\b(?<=\\[.*)|System\\.")]
    private static partial Regex InternalName();
}
