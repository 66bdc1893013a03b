namespace CaptureProc.Wav.Tests;

public sealed class WavOutputTests : IDisposable
{
    private static readonly WavOutputFormat Mono24 = new(48000, 1, SampleFormat.Pcm24);

    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void FileStandsAtItsPlaceOnlyWhenComplete()
    {
        var path = folder.File("out.wav");
        using var output = WavOutput.Create(path, Mono24, replace: false);
        output.Write(WavSamples.Noise(1, 100, 1), 0, 100);
        Assert.False(File.Exists(path));

        output.Complete();

        Assert.Equal([path], Directory.GetFiles(folder.Path));
    }

    [Fact]
    public void AbandonedFileLeavesNothingBehind()
    {
        using (var output = WavOutput.Create(folder.File("out.wav"), Mono24, replace: false))
            output.Write(WavSamples.Noise(1, 100, 1), 0, 100);

        Assert.Empty(Directory.GetFiles(folder.Path));
    }

    [Fact]
    public void ExistingFileIsKeptUnlessItMayBeReplaced()
    {
        var path = folder.File("out.wav");
        File.WriteAllText(path, "precious");

        Assert.Equal("output-exists", WavSamples.Refusal(() => WavOutput.Create(path, Mono24, replace: false)).Code);
        Assert.Equal("precious", File.ReadAllText(path));

        using var output = WavOutput.Create(path, Mono24, replace: true);
        output.Write(WavSamples.Noise(1, 100, 1), 0, 100);
        output.Complete();
        using var input = WavInput.Open(path);
        Assert.Equal(100, input.FrameCount);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(1000)]
    [InlineData(4095)]
    [InlineData(4097)]
    public void BlockLengthDoesNotChangeTheFile(int block)
    {
        var noise = WavSamples.Noise(3, 9001, seed: 5);
        var format = new WavOutputFormat(48000, 3, SampleFormat.Pcm24);
        var whole = WavSamples.Write(folder.File("whole.wav"), noise, format);
        using (var output = WavOutput.Create(folder.File("parts.wav"), format, replace: false))
        {
            for (var at = 0; at < 9001; at += block)
                output.Write(noise, at, Math.Min(block, 9001 - at));
            output.Complete();
        }

        Assert.Equal(File.ReadAllBytes(whole), File.ReadAllBytes(folder.File("parts.wav")));
    }

    [Theory]
    [InlineData(SampleFormat.Pcm16, 16)]
    [InlineData(SampleFormat.Pcm24, 24)]
    [InlineData(SampleFormat.Pcm32, 32)]
    public void SamplesBeyondFullScaleAreHeldAndCounted(SampleFormat format, int bits)
    {
        // Nine samples: the last one falls outside a vector of four. +1 itself is one step beyond the largest integer.
        float[] signal = [0.5f, 1.0f, -1.0f, 1.5f, -1.5f, 0.99f, -0.99f, float.MaxValue, -2f];
        var path = folder.File("loud.wav");
        using (var output = WavOutput.Create(path, new WavOutputFormat(48000, 1, format), replace: false))
        {
            output.Write([signal], 0, signal.Length);
            Assert.Equal((5, float.MaxValue), (output.ClippedSamples, (float)output.HighestPeak));
            output.Complete();
        }

        var read = Tool.ReadWithSox(path);
        var top = 1 - Math.Pow(2, 1 - bits);
        Assert.Equal([0.5, top, -1, top, -1], read[..5]);
        Assert.Equal([top, -1], read[7..]);
    }

    [Fact]
    public void OddLengthIsPaddedSoThatLaterChunksStayAligned()
    {
        var path = WavSamples.Write(folder.File("odd.wav"), WavSamples.Noise(1, 101, 1), Mono24);

        Assert.Equal(0, new FileInfo(path).Length % 2);
        using var input = WavInput.Open(path);
        Assert.Equal(101, input.FrameCount);
    }

    [Fact]
    public void ShortFileIsPlainRiff() =>
        Assert.Equal("RIFF"u8, File.ReadAllBytes(WavSamples.Write(folder.File("a.wav"), WavSamples.Noise(1, 10, 1), Mono24)).AsSpan(0, 4));
}
