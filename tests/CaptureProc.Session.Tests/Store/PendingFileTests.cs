namespace CaptureProc.Session.Tests.Store;

public sealed class PendingFileTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void FileAppearsOnlyWhenComplete()
    {
        using var file = PendingFile.Create(folder.File("out.txt"), replace: false);
        file.Guard(s => s.Write("whole"u8));
        Assert.False(File.Exists(folder.File("out.txt")));

        file.Complete();

        Assert.Equal("whole", File.ReadAllText(folder.File("out.txt")));
        Assert.Single(Directory.GetFiles(folder.Path));
    }

    [Fact]
    public void AbandonedFileLeavesNothingBehind()
    {
        using (var file = PendingFile.Create(folder.File("out.txt"), replace: false))
            file.Guard(s => s.Write("half"u8));

        Assert.Empty(Directory.GetFiles(folder.Path));
    }

    [Fact]
    public void AbandonedReplacementLeavesTheOldFile()
    {
        var path = folder.Write("out.txt", "old");
        using (var file = PendingFile.Create(path, replace: true))
            file.Guard(s => s.Write("new"u8));

        Assert.Equal("old", File.ReadAllText(path));
    }

    [Fact]
    public void FileThatAppearedMeanwhileIsNotOverwritten()
    {
        var path = folder.File("out.txt");
        using var file = PendingFile.Create(path, replace: false);
        folder.Write("out.txt", "somebody else's");

        Assert.Equal("output-exists", Samples.Refusal(() => file.Complete()).Code);
        Assert.Equal("somebody else's", File.ReadAllText(path));
    }

    [Fact]
    public void FullDiskIsCalledByItsName()
    {
        // /dev/full answers every write with ENOSPC; its error is passed through the same guard as a real file's.
        Assert.SkipUnless(File.Exists("/dev/full"), "needs a device that is always full");
        using var file = PendingFile.Create(folder.File("out.txt"), replace: false);

        var refusal = Samples.Refusal(() => file.Guard(_ =>
        {
            using var full = new FileStream("/dev/full", FileMode.Open, FileAccess.Write, FileShare.ReadWrite, bufferSize: 0);
            full.Write("x"u8);
        }));

        Assert.Equal("disk-full", refusal.Code);
    }

    [Fact]
    public void MissingFolderIsRefused() =>
        Assert.Equal("output-folder-missing",
            Samples.Refusal(() => PendingFile.Create(Path.Combine(folder.Path, "no", "out.txt"), replace: false)).Code);

    [Fact]
    public void FolderIsNoFile() =>
        Assert.Equal("output-is-folder", Samples.Refusal(() => PendingFile.Create(folder.Path, replace: true)).Code);
}
