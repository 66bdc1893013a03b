namespace CaptureProc.Cli.Tests;

public class CommandLineProgramTests
{
    [Fact]
    public void WithoutArgumentsTheCommandsAreListed()
    {
        var result = CommandLine.Run();

        Assert.Equal(0, result.ExitCode);
        Assert.Contains("captureproc [command]", result.Out, StringComparison.Ordinal);
        Assert.Contains("  start ", result.Out, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("start")]
    [InlineData("presets")]
    [InlineData("convert")]
    [InlineData("align")]
    [InlineData("mix")]
    [InlineData("host")]
    [InlineData("deliver")]
    [InlineData("report")]
    [InlineData("signal")]
    [InlineData("level")]
    [InlineData("patch")]
    public void EveryCommandExplainsItself(string name)
    {
        var result = CommandLine.Run(name, "--help");

        Assert.Equal(0, result.ExitCode);
        Assert.Contains($"captureproc {name}", result.Out, StringComparison.Ordinal);
        Assert.Contains("--json", result.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void UnknownCommandIsRefused() => CommandLine.Refuses("there is no command 'begin'", "begin", "x.json");

    [Fact]
    public void UnknownOptionIsRefused() => CommandLine.Refuses("'--arry'", "start", "x.json", "--arry", "main=1-4");

    [Fact]
    public void MissingArgumentIsRefused() => CommandLine.Refuses("captureproc start --help", "start");

    [Fact]
    public void VersionIsPrinted() => Assert.Matches(@"^\d+\.\d+\.\d+", CommandLine.Run("--version").Out);
}
