namespace CaptureProc.Wav.Tests.Containers;

/// <summary>What is no WAV against the same samples in one; sox writes both.</summary>
public sealed class ForeignFileTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Theory]
    [InlineData("aiff", 24)]
    [InlineData("aifc", 16)]
    [InlineData("caf", 24)]
    [InlineData("w64", 24)]
    [InlineData("flac", 24)]
    [InlineData("wav", 64)]
    public void SamplesAreThoseOfTheWav(string extension, int bits)
    {
        var (plain, foreign) = (folder.File("plain.wav"), folder.File($"foreign.{extension}"));
        Tool.Run("sox", "-R", "-n", "-r", "48000", "-c", "5", "-b", bits == 16 ? "16" : "24", plain, "synth", "0.4", "pinknoise", "vol", "0.5");
        Tool.Run("sox", [plain, .. (string[])(bits == 64 ? ["-e", "float", "-b", "64"] : ["-b", $"{bits}"]), foreign]);

        using var expected = WavInput.Open(plain);
        using var input = WavInput.Open(foreign);

        Assert.Equal((5, 48000, expected.FrameCount), (input.ChannelCount, input.SampleRateHz, input.FrameCount));
        Assert.Equal(WavSamples.ReadAll(expected), WavSamples.ReadAll(input));
        Assert.Empty(input.Faults);
    }

    [Fact]
    public void ChannelsCountOnThroughFilesOfAnyKind()
    {
        Tool.Run("sox", "-R", "-n", "-r", "48000", "-c", "4", "-b", "24", folder.File("array.flac"), "synth", "0.1", "noise");
        Tool.Run("sox", "-R", "-n", "-r", "48000", "-c", "1", "-b", "24", folder.File("harp.aiff"), "synth", "0.1", "sine", "440");

        using var input = WavInput.Open(folder.File("array.flac"), folder.File("harp.aiff"));

        Assert.Equal(5, input.ChannelCount);
        Assert.Equal(folder.File("harp.aiff"), input.FileOf(5).Path);
    }

    [Fact]
    public void DamagedFlacIsReadAsFarAsItGoesAndSaid()
    {
        var path = folder.File("cut.flac");
        Tool.Run("sox", "-R", "-n", "-r", "48000", "-c", "4", "-b", "24", path, "synth", "2", "noise");
        var whole = File.ReadAllBytes(path);
        File.WriteAllBytes(path, whole[..(whole.Length / 2)]);

        using var input = WavInput.Open(path);

        Assert.InRange(input.FrameCount, 40000, 60000);
        Assert.Contains("is damaged", Assert.Single(input.Faults), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("fLaC")]
    [InlineData("caff")]
    public void FileThatOnlyBeginsAsOneIsRefused(string head)
    {
        var path = folder.Write("a.bin", head + "and then nothing of the kind, over and over");

        Assert.Contains("ffmpeg cannot read this", WavSamples.Refusal(() => WavInput.Open(path)).Message, StringComparison.Ordinal);
    }
}
