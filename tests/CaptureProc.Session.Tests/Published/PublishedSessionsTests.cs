using CaptureProc.Session.Published;

namespace CaptureProc.Session.Tests.Published;

public sealed class PublishedSessionsTests : IDisposable
{
    private readonly string root = Directory.CreateTempSubdirectory("captureproc-published-").FullName;

    private string Folder => Path.Combine(root, "published");

    public void Dispose() => Directory.Delete(root, recursive: true);

    [Fact]
    public void AFolderThatIsNotThereHoldsNoSessions() => Assert.Empty(PublishedSessions.List(Folder));

    [Fact]
    public void APublishedSessionIsListedByItsTitleAndPointsToItsFile()
    {
        var path = Write("a.json", "Lantern Ensemble, first evening");
        PublishedSessions.Publish(path, Folder);
        var entry = Assert.Single(PublishedSessions.List(Folder));
        Assert.Equal("Lantern Ensemble, first evening", entry.Name);
        Assert.Equal(Path.GetFullPath(path), entry.SessionPath);
    }

    [Fact]
    public void PublishingTwiceKeepsOneEntryAndEqualTitlesGetNumbers()
    {
        var first = Write("a.json", "Evening");
        PublishedSessions.Publish(first, Folder);
        PublishedSessions.Publish(first, Folder);
        PublishedSessions.Publish(Write("b.json", "evening"), Folder);
        Assert.Equal(["Evening", "evening 2"], PublishedSessions.List(Folder).Select(e => e.Name));
    }

    [Fact]
    public void TitlesThatAreNoFileNamesAreMadeIntoOnes()
    {
        var entry = PublishedSessions.Publish(Write("a.json", " take 1/2: \"loud\" ... "), Folder);
        Assert.Equal("take 1-2- -loud-", entry.Name);
    }

    [Fact]
    public void WithdrawingByNameOrByFileLeavesTheSessionFile()
    {
        var a = Write("a.json", "One");
        var b = Write("b.json", "Two");
        PublishedSessions.Publish(a, Folder);
        PublishedSessions.Publish(b, Folder);
        PublishedSessions.Withdraw("one", Folder);
        PublishedSessions.Withdraw(b, Folder);
        Assert.Empty(PublishedSessions.List(Folder));
        Assert.True(File.Exists(a) && File.Exists(b));
    }

    [Fact]
    public void WithdrawingWhatIsNotPublishedIsRefused() =>
        Assert.Equal("not-published", Assert.Throws<UnusableInputException>(() => PublishedSessions.Withdraw("nothing", Folder)).Code);

    [Fact]
    public void ForeignAndDamagedFilesInTheFolderAreNotEntries()
    {
        PublishedSessions.Publish(Write("a.json", "One"), Folder);
        File.WriteAllText(Path.Combine(Folder, "damaged.published.json"), "{ \"format\": ");
        File.WriteAllText(Path.Combine(Folder, "foreign.published.json"), "{ \"format\": \"other\", \"version\": 1, \"session\": \"/x\" }");
        File.WriteAllText(Path.Combine(Folder, "newer.published.json"), "{ \"format\": \"captureproc-published\", \"version\": 2, \"session\": \"/x\" }");
        File.WriteAllText(Path.Combine(Folder, "notes.txt"), "hello");
        Assert.Single(PublishedSessions.List(Folder));
    }

    [Fact]
    public void ADamagedSessionIsNotPublished()
    {
        var path = Path.Combine(root, "broken.json");
        File.WriteAllText(path, "{");
        Assert.Throws<UnusableInputException>(() => PublishedSessions.Publish(path, Folder));
        Assert.Empty(PublishedSessions.List(Folder));
    }

    private string Write(string file, string title)
    {
        var path = Path.Combine(root, file);
        SessionStore.Create(path, new SessionDocument { Title = title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch });
        return path;
    }
}
