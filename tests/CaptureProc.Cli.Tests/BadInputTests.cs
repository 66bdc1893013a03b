using CaptureProc.Session;

namespace CaptureProc.Cli.Tests;

/// <summary>Every kind of bad input through the commands that read takes: one clear line, exit code 2, nothing lost or half written.</summary>
public sealed class BadInputTests : IDisposable
{
    private readonly Concert concert = new();

    public void Dispose() => concert.Dispose();

    public static TheoryData<string> Commands => ["convert", "align", "mix"];

    [Theory]
    [MemberData(nameof(Commands))]
    public void FileThatIsNoWav(string command)
    {
        File.WriteAllText(concert.Take, "Dear engineer, this is a letter and no recording.");
        Refuses(command, "is no WAV file");
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void FileCutShortIsReadAsFarAsItGoesAndNeedsAttention(string command)
    {
        var whole = File.ReadAllBytes(concert.Take);
        File.WriteAllBytes(concert.Take, whole[..(whole.Length / 2)]);

        var result = CommandLine.Run(command, concert.Session, concert.Take, concert.File("out"), "--json");

        Assert.Equal(1, result.ExitCode);
        Assert.Contains("is cut short", result.Error, StringComparison.Ordinal);
        Assert.InRange((int)result.Json["frames"]!, Concert.Frames / 2 - 100, Concert.Frames / 2);
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void MissingTake(string command)
    {
        File.Delete(concert.Take);
        Refuses(command, "there is no such file");
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void RateThatDiffersFromTheSessions(string command)
    {
        Concert.WriteTake(concert.Take, Concert.Noise(), rate: 44100);
        Refuses(command, "has 44100 Hz, but the session has 48000 Hz");
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void ChannelThatIsNotThere(string command)
    {
        Concert.WriteTake(concert.Take, Concert.Noise()[..3]);
        Refuses(command, "channel 4 of array 'main' is not there");
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void Silence(string command)
    {
        Concert.WriteTake(concert.Take, [.. Concert.Noise().Select(row => new float[row.Length])]);
        Refuses(command, "silent from beginning to end");
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void SampleThatIsNoNumber(string command)
    {
        var noise = Concert.Noise();
        noise[3][6000] = float.NaN;
        Concert.WriteTake(concert.Take, noise);
        Refuses(command, "channel 4 holds a sample that is no number (NaN or infinity) at 0.125 s");
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void DamagedSession(string command)
    {
        File.WriteAllText(concert.Session, "{ \"format\": \"captureproc-session\", \"version\": 1, ");
        Refuses(command, "is damaged");
        Assert.Equal("{ \"format\": \"captureproc-session\", \"version\": 1, ", File.ReadAllText(concert.Session));
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void NewerSession(string command)
    {
        File.WriteAllText(concert.Session, File.ReadAllText(concert.Session).Replace("\"version\": 1", "\"version\": 2", StringComparison.Ordinal));
        Refuses(command, "was written by a newer version");
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void MissingSession(string command)
    {
        File.Delete(concert.Session);
        Refuses(command, "there is no such session file");
    }

    [Fact]
    public void CommandWaitsForAnotherThatChangesTheSessionAndSaysForWhom()
    {
        var lockFile = concert.File(".concert.json.lock");
        var other = new FileStream(lockFile, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        File.WriteAllText($"{lockFile}.by", "captureproc measure (process 77)");
        var done = Task.Run(async () =>
        {
            // Longer than a command may be kept waiting in silence, and than its patience once was.
            await Task.Delay(TimeSpan.FromSeconds(6));
            File.Delete(lockFile);
            other.Dispose();
        });

        var result = CommandLine.Run("start", concert.Session, "--array", "main=5-8", "--replace");

        Assert.Equal(0, result.ExitCode);
        Assert.Contains($"waiting for captureproc measure (process 77), which is changing {concert.Session}", result.Error, StringComparison.Ordinal);
        Assert.Equal([5, 6, 7, 8], SessionStore.Read(concert.Session).MainArray().Channels);
        Assert.True(done.Wait(TimeSpan.FromSeconds(60)));
    }

    [Theory]
    [InlineData("note", "--place", "hall")]
    [InlineData("rig", "--title", "Matinee")]
    [InlineData("rig", "--undo")]
    [InlineData("level", "take.wav")]
    [InlineData("patch", "take.wav", "--ambience")]
    [InlineData("measure", "take.wav")]
    public void EveryCommandThatChangesASessionSaysForWhomItWaits(string command, params string[] words)
    {
        var lockFile = concert.File(".concert.json.lock");
        using var other = new FileStream(lockFile, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        File.WriteAllText($"{lockFile}.by", "captureproc measure (process 77)");
        // Pink noise on all channels, so that the line-up has something to keep.
        Assert.Equal(0, CommandLine.Run("signal", "pink", concert.Take, "--channels", "5", "--seconds", "5", "--level", "-12", "--replace").ExitCode);
        var error = new Overheard($"waiting for captureproc measure (process 77), which is changing {concert.Session}");

        var run = Task.Run(() => CommandLineProgram.Run([command, concert.Session, .. words.Select(w => w == "take.wav" ? concert.Take : w)], TextWriter.Null, error));
        var isFirst = Task.WaitAny([error.Said, run], TimeSpan.FromSeconds(60)) == 0;
        File.Delete(lockFile);
        other.Dispose();

        Assert.True(run.Wait(TimeSpan.FromSeconds(60)));
        Assert.True(isFirst, error.ToString());
        Assert.True(run.Result is 0 or 1, error.ToString());
    }

    /// <summary>Told as soon as a line is said.</summary>
    private sealed class Overheard(string line) : StringWriter
    {
        private readonly TaskCompletionSource heard = new();

        public Task Said => heard.Task;

        public override void WriteLine(string? value)
        {
            base.WriteLine(value);
            if (value == line)
                heard.TrySetResult();
        }
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void FolderThatIsNotThere(string command)
    {
        if (command == "align")
            File.WriteAllText(concert.File("none"), "a file where a folder is wanted");
        var said = command == "align" ? "cannot be made" : "its folder does not exist";
        CommandLine.Refuses(said, command, concert.Session, concert.Take, Path.Combine(concert.File("none"), "out.wav"));
    }

    [Theory]
    [MemberData(nameof(Commands))]
    public void OutputThatIsTheTakeItself(string command)
    {
        var before = File.ReadAllBytes(concert.Take);
        var said = command == "align" ? "is a file; give a folder" : "is the file that is read";

        CommandLine.Refuses(said, command, concert.Session, concert.Take, concert.Take, "--replace");

        Assert.Equal(before, File.ReadAllBytes(concert.Take));
    }

    private void Refuses(string command, string said)
    {
        CommandLine.Refuses(said, command, concert.Session, concert.Take, command == "align" ? concert.File("aligned") : concert.Out);
        Assert.Empty(concert.Files);
        Assert.False(Directory.Exists(concert.File("aligned")));
    }
}
