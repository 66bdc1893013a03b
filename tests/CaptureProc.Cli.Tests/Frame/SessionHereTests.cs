namespace CaptureProc.Cli.Tests.Frame;

/// <summary>Commands in a folder that says by itself which session is meant.</summary>
public sealed class SessionHereTests : IDisposable
{
    private readonly Concert concert = new();

    public void Dispose() => concert.Dispose();

    [Fact]
    public void TheOnlySessionOfTheFolderNeedNotBeNamed()
    {
        // Other files of the same kind of name are no sessions.
        File.WriteAllText(concert.File("notes.json"), "{ \"format\": \"shopping list\" }");
        File.WriteAllText(concert.File("empty.json"), "");

        var result = CommandLine.RunIn(concert.Folder, "convert", "take.wav", "field.wav", "--correction", "none");

        Assert.Equal(0, result.ExitCode);
        Assert.Equal("session: concert.json\n", result.Error);
        Assert.Equal(0, CommandLine.Run("convert", concert.Session, concert.Take, concert.Out, "--correction", "none").ExitCode);
        Assert.Equal(File.ReadAllBytes(concert.Out), File.ReadAllBytes(concert.File("field.wav")));
    }

    [Fact]
    public void SessionThatIsNamedIsTaken()
    {
        Assert.Equal(0, CommandLine.Run("start", concert.File("other.json"), "--array", "main=1-4").ExitCode);

        var result = CommandLine.RunIn(concert.Folder, "convert", "concert.json", "take.wav", "field.wav");

        Assert.Equal((0, ""), (result.ExitCode, result.Error));
    }

    [Fact]
    public void SeveralSessionsAreAskedAbout()
    {
        Assert.Equal(0, CommandLine.Run("start", concert.File("other.json"), "--array", "main=1-4").ExitCode);

        var result = CommandLine.RunIn(concert.Folder, "mix", "take.wav", "mix.wav");

        Assert.Equal((2, ""), (result.ExitCode, result.Out));
        Assert.Equal("error: no session is named and this folder holds several (concert.json, other.json); name the one that is meant\n", result.Error);
    }

    [Fact]
    public void FolderWithoutASessionSaysSo()
    {
        using var elsewhere = new TemporaryFolder();

        var result = CommandLine.RunIn(elsewhere.Path, "level", concert.Take, "--json");

        Assert.Equal((2, "no-session"), (result.ExitCode, result.ErrorCode));
    }

    // A session that cannot be read is told of, not passed over for another.
    [Theory]
    [InlineData("gone.json", "there is no such session file")]
    [InlineData(".", "is a folder")]
    public void WordThatIsMeantAsASessionStaysOne(string word, string said)
    {
        var result = CommandLine.RunIn(concert.Folder, "convert", word, "take.wav", "field.wav");

        Assert.Equal(2, result.ExitCode);
        Assert.Contains(said, result.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void SessionUnderAnyNameIsKnownByWhatItHolds()
    {
        File.Move(concert.Session, concert.File("evening"));

        var result = CommandLine.RunIn(concert.Folder, "convert", "evening", "take.wav", "field.wav");

        Assert.Equal((0, ""), (result.ExitCode, result.Error));
    }

    [Fact]
    public void BehindTwoHyphensEveryWordIsAFile() =>
        CommandLine.Refuses("--odd.wav: there is no such file", "level", concert.Session, "--", "--odd.wav");
}
