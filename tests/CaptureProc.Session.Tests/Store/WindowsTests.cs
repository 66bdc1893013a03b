using CaptureProc.Session.Published;
using CaptureProc.Testing;

namespace CaptureProc.Session.Tests.Store;

/// <summary>What is different on Windows, as far as it can be shown elsewhere.</summary>
/// <remarks>Source of the names: Microsoft, "Naming Files, Paths, and Namespaces"; of the codes: "System Error Codes", 5 and 32.</remarks>
public sealed class WindowsTests
{
    private const int AccessDenied = unchecked((int)0x80070005), SharingViolation = unchecked((int)0x80070020), PathNotFound = unchecked((int)0x80070003);

    [Theory]
    [InlineData(SharingViolation)]
    [InlineData(AccessDenied)]
    public void ARenameIsTriedAgainWhileSomebodyHasTheTargetOpen(int code)
    {
        var tries = 0;
        PatientRename.Repeat(() =>
        {
            if (++tries < 4)
                throw code == AccessDenied ? new UnauthorizedAccessException { HResult = code } : new IOException("in use", code);
        }, TimeSpan.FromSeconds(60));
        Assert.Equal(4, tries);
    }

    [Fact]
    public void ARenameThatIsRefusedForGoodSaysSo()
    {
        var tries = 0;
        var refused = Assert.Throws<IOException>(() => PatientRename.Repeat(() => throw new IOException($"try {++tries}", SharingViolation), TimeSpan.FromMilliseconds(100)));
        Assert.True(tries > 1);
        Assert.Equal($"try {tries}", refused.Message);
    }

    [Fact]
    public void ARenameThatFailsForAnotherReasonIsNotTriedAgain()
    {
        var tries = 0;
        Assert.Throws<IOException>(() => PatientRename.Repeat(() => throw new IOException($"try {++tries}", PathNotFound), TimeSpan.FromSeconds(60)));
        Assert.Equal(1, tries);
    }

    [Theory]
    [InlineData("nul", "device")]
    [InlineData("con.wav", "device")]
    [InlineData(@"C:\takes\Aux.wav", "device")]
    [InlineData("LPT1", "device")]
    [InlineData("com9.part.wav", "device")]
    [InlineData("COM².wav", "device")]
    [InlineData("take:b.wav", "':'")]
    [InlineData("what?.wav", "'?'")]
    [InlineData("take .", "end")]
    [InlineData(@"folder \take.wav", "end")]
    [InlineData("tab\t.wav", "control")]
    public void ANameThatWindowsTakesForSomethingElseIsRefused(string path, string why) =>
        Assert.Contains(why, WindowsNames.Problem(path) ?? "no problem", StringComparison.Ordinal);

    [Theory]
    [InlineData(@"C:\takes\take 1.wav")]
    [InlineData(@"c:take.wav")]
    [InlineData(@"\\server\share\takes\take.wav")]
    [InlineData(@"..\.hidden\take.wav")]
    [InlineData("console.wav")]
    [InlineData("com.wav")]
    [InlineData("lpt12.wav")]
    [InlineData(@"\\?\C:\takes\nul")]
    public void AnOrdinaryNameIsLeftAlone(string path) => Assert.Null(WindowsNames.Problem(path));

    [Fact]
    public void ASessionThatIsCalledLikeADeviceIsPublishedAsAFile()
    {
        using var folder = new TemporaryFolder();
        var path = folder.File("s.json");
        SessionStore.Create(path, Samples.Full() with { Title = "Nul" });
        Assert.Equal("session Nul", PublishedSessions.Publish(path, folder.File("published")).Name);
        Assert.Equal(path, Assert.Single(PublishedSessions.List(folder.File("published"))).SessionPath);
    }

    [Fact]
    public void WhoeverReadsASessionLetsItBeReplacedMeanwhile()
    {
        using var folder = new TemporaryFolder();
        var path = folder.File("s.json");
        File.WriteAllText(path, "before");
        using (SharedFile.Open(path))
        {
            File.WriteAllText(folder.File("new"), "after");
            PatientRename.Move(folder.File("new"), path, overwrite: true);
        }
        Assert.Equal("after", File.ReadAllText(path));
    }
}
