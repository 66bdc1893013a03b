namespace CaptureProc.Cli.Tests;

public class CommandLineProgramTests
{
    [Fact]
    public void WithoutArgumentsTheCommandsAreListed()
    {
        var result = CommandLine.Run();

        Assert.Equal(0, result.ExitCode);
        Assert.Contains("captureproc COMMAND", result.Out, StringComparison.Ordinal);
        Assert.Contains("  start ", result.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void UnknownCommandIsRefused() => CommandLine.Refuses("there is no command 'begin'", "begin", "x.json");

    [Fact]
    public void UnknownOptionIsRefused() => CommandLine.Refuses("there is no option '--arry' of 'start'; is --array meant?", "start", "x.json", "--arry", "main=1-4");

    // Commands that take any number of files would else look for a file of that name.
    [Theory]
    [InlineData("there is no option '--correcton' of 'convert'; is --correction meant?", "convert", "s.json", "take.wav", "out.wav", "--correcton", "full")]
    [InlineData("there is no option '--tol' of 'level'; is --tolerance meant?", "level", "s.json", "noise.wav", "--tol=0.2")]
    [InlineData("there is no option '--loud' of 'measure'; see", "measure", "s.json", "slate.wav", "--loud")]
    [InlineData("there is no option '-x' of 'mix'; see", "mix", "s.json", "take.wav", "-x", "out.wav")]
    [InlineData("there is no option '--replce' of 'align'; is --replace meant?", "align", "s.json", "take.wav", "out", "--trim", "--replce")]
    public void MistypedOptionIsNoMissingFile(string said, params string[] args) => CommandLine.Refuses(said, args);

    [Fact]
    public void MissingArgumentIsRefused() => CommandLine.Refuses("captureproc start --help", "start");

    [Fact]
    public void VersionIsPrintedWithItsCommitAndDate() =>
        Assert.Matches(@"^\d+\.\d+\.\d+( \(commit [0-9a-f]{10}( of \d{4}-\d\d-\d\d)?\))?\n$", CommandLine.Run("--version").Out);
}
