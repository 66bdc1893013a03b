using CaptureProc.Dsp.Binaural;
using CaptureProc.Session.Published;

namespace CaptureProc.Cli.Tests.Commands;

[Collection("published folder")]
public sealed class HeadCommandTests : IDisposable
{
    private static readonly string sofa = Path.Combine(AppContext.BaseDirectory, "measured-mannequin.sofa");

    private readonly TemporaryFolder folder = new();
    private readonly string? before = Environment.GetEnvironmentVariable(PublishedFolder.EnvironmentVariable);

    public HeadCommandTests() => Environment.SetEnvironmentVariable(PublishedFolder.EnvironmentVariable, folder.File("published"));

    public void Dispose()
    {
        Environment.SetEnvironmentVariable(PublishedFolder.EnvironmentVariable, before);
        folder.Dispose();
    }

    [Fact]
    public void PublishedHeadStandsWherePlugInsLook()
    {
        var result = CommandLine.Run("head", sofa, "--publish", "Evening head");
        Assert.Equal(0, result.ExitCode);
        Assert.Contains("'Evening head' is offered", result.Out, StringComparison.Ordinal);
        var head = Assert.Single(PublishedHeads.List());
        Assert.Equal("Evening head", head.Name);
        using var stream = File.OpenRead(head.Path);
        // A set that somebody publishes keeps the name that it states itself.
        Assert.Equal("MIT, KEMAR, normal pinna", BinauralDecoderFormat.Read(stream).Name);
    }

    [Fact]
    public void NoticeOfOnesOwnTakesThePlaceOfTheFiles()
    {
        File.WriteAllText(folder.File("notice.txt"), "Cite those who measured.\n");
        var json = CommandLine.Run("head", sofa, folder.File("own.decoder"), "--notice", folder.File("notice.txt"), "--json").Json;
        Assert.Equal("Cite those who measured.", (string)json["notice"]!);
        Assert.Equal(44100, (double)json["sampleRate"]!);
        using var stream = File.OpenRead(folder.File("own.decoder"));
        Assert.Equal("Cite those who measured.", BinauralDecoderFormat.Read(stream).Notice);
        CommandLine.Refuses("already", "head", sofa, folder.File("own.decoder"));
    }

    [Fact]
    public void NamesThatAreNoFileNamesAreRefused()
    {
        CommandLine.Refuses("cannot be the name of a head", "head", sofa, "--publish", "a/b");
        CommandLine.Refuses("ends in .decoder", "head", sofa, folder.File("own.bin"));
        Assert.Empty(PublishedHeads.List());
    }
}
