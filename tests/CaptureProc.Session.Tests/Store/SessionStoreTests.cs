namespace CaptureProc.Session.Tests.Store;

public sealed class SessionStoreTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void CreatedSessionIsReadBackEqual()
    {
        var path = folder.File("concert.json");
        SessionStore.Create(path, Samples.Full());

        Assert.Equal(SessionText.Format(Samples.Full()), SessionText.Format(SessionStore.Read(path)));
    }

    [Fact]
    public void ExistingSessionIsKeptUnlessItMayBeReplaced()
    {
        var path = folder.Write("concert.json", "precious");

        Assert.Equal("output-exists", Samples.Refusal(() => SessionStore.Create(path, Samples.Full())).Code);
        Assert.Equal("precious", File.ReadAllText(path));

        SessionStore.Create(path, Samples.Full(), replace: true);
        Assert.Equal(48000, SessionStore.Read(path).SampleRate);
    }

    [Fact]
    public void UpdateStampsTheTimeAndKeepsTheRest()
    {
        var path = folder.Write("concert.json", Samples.ContractExample);
        var before = DateTimeOffset.UtcNow.AddSeconds(-1);

        SessionStore.Update(path, session => session with { Title = "Matinee" });

        var now = SessionStore.Read(path);
        Assert.Equal("Matinee", now.Title);
        Assert.InRange(now.Modified, before, DateTimeOffset.UtcNow);
        Assert.Equal(Samples.Parse(Samples.ContractExample).Created, now.Created);
    }

    [Fact]
    public void ChangesMadeAtOnceAreAllKept()
    {
        var path = folder.Write("concert.json", Samples.ContractExample);
        const int writers = 6, changes = 10;

        Parallel.For(0, writers, new ParallelOptions { MaxDegreeOfParallelism = writers }, writer =>
        {
            for (var change = 0; change < changes; change++)
            {
                var entry = new HistoryEntry { At = DateTimeOffset.UtcNow, Command = $"{writer}.{change}" };
                SessionStore.Update(path, session => session with { History = [.. session.History, entry] }, TimeSpan.FromMinutes(1));
            }
        });

        var commands = SessionStore.Read(path).History.Select(h => h.Command).ToHashSet();
        Assert.Equal(writers * changes + 1, commands.Count);
    }

    [Fact]
    public void SessionHeldByAnotherCommandIsReportedAndLeftAsItIs()
    {
        var path = folder.Write("concert.json", Samples.ContractExample);
        using var other = SessionLock.Take(path, new SessionWaiting(TimeSpan.Zero, "captureproc level (process 5)"));

        var refusal = Samples.Refusal(() => SessionStore.Update(path, s => s with { Title = "lost" }, TimeSpan.FromMilliseconds(100)));

        Assert.Equal("session-busy", refusal.Code);
        Assert.Contains("is being written by another command (captureproc level (process 5))", refusal.Message, StringComparison.Ordinal);
        Assert.Equal(Samples.ContractExample, File.ReadAllText(path));
    }

    [Theory]
    [InlineData("{ \"format\": \"captureproc-session\", ")]
    [InlineData("{ \"format\": \"captureproc-session\", \"version\": 99 }")]
    public void UnreadableSessionIsLeftAsItIs(string text)
    {
        var path = folder.Write("concert.json", text);

        Samples.Refusal(() => SessionStore.Update(path, s => s));

        Assert.Equal(text, File.ReadAllText(path));
    }

    [Fact]
    public void ChangeThatBreaksARuleIsNotWritten()
    {
        var path = folder.Write("concert.json", Samples.ContractExample);

        Assert.Equal("session-invalid", Samples.Refusal(() => SessionStore.Update(path, s => s with { SampleRate = 1 })).Code);
        Assert.Equal(Samples.ContractExample, File.ReadAllText(path));
    }

    [Fact]
    public void FailedChangeLeavesNoFileBehind()
    {
        var path = folder.Write("concert.json", Samples.ContractExample);

        Assert.Throws<InvalidOperationException>(() => SessionStore.Update(path, _ => throw new InvalidOperationException()));

        Assert.Equal(["concert.json"], Directory.GetFiles(folder.Path).Select(Path.GetFileName).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void MissingSessionSaysHowToMakeOne() =>
        Assert.Contains("captureproc start", Samples.Refusal(() => SessionStore.Read(folder.File("none.json"))).Message, StringComparison.Ordinal);

    [Fact]
    public void SessionBehindALinkIsChangedWhereItLives()
    {
        var real = folder.Write("real.json", Samples.ContractExample);
        var link = folder.File("link.json");
        File.CreateSymbolicLink(link, real);

        SessionStore.Update(link, s => s with { Title = "Matinee" });

        Assert.NotNull(new FileInfo(link).LinkTarget);
        Assert.Equal("Matinee", SessionStore.Read(real).Title);
    }
}
