namespace CaptureProc.Wav.Tests;

public sealed class WavInputTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void ChannelsCountOnThroughTheFiles()
    {
        var a = WavSamples.Noise(4, 1000, seed: 1);
        var b = WavSamples.Noise(2, 1000, seed: 2);
        using var input = WavInput.Open(Float("a.wav", a), Float("b.wav", b));

        Assert.Equal(6, input.ChannelCount);
        Assert.Equal([.. a, .. b], WavSamples.ReadAll(input));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(4096)]
    [InlineData(5000)]
    public void BlockLengthDoesNotChangeTheSamples(int block)
    {
        var noise = WavSamples.Noise(3, 9001, seed: 5);
        using var input = WavInput.Open(Float("a.wav", noise));
        var part = new float[]?[] { new float[block], new float[block], new float[block] };
        var read = new[] { new List<float>(), [], [] };

        for (int got; (got = input.Read(part, block)) > 0;)
            for (var c = 0; c < 3; c++)
                read[c].AddRange(part[c].AsSpan(0, got));

        for (var c = 0; c < 3; c++)
            Assert.Equal(noise[c], read[c]);
        Assert.Equal(0, input.Read(part, block));
    }

    [Fact]
    public void SeekingGoesToTheFrame()
    {
        var noise = WavSamples.Noise(2, 6000, seed: 9);
        using var input = WavInput.Open(WavSamples.Write(folder.File("a.wav"), noise, new WavOutputFormat(48000, 2, SampleFormat.Float32)));
        var part = new[] { new float[10], new float[10] };

        input.Seek(5990);
        Assert.Equal(10, input.Read(part, 10));
        Assert.Equal(noise[1][5990..], part[1]);
        input.Seek(3);
        input.Read(part, 10);
        Assert.Equal(noise[0][3..13], part[0]);
        Assert.Equal(13, input.Position);
    }

    [Fact]
    public void SkippedChannelsAreNotTouched()
    {
        var noise = WavSamples.Noise(3, 100, seed: 4);
        using var input = WavInput.Open(Float("a.wav", noise));
        var only = new float[100];

        input.Read([null, only, null], 100);

        Assert.Equal(noise[1], only);
    }

    [Fact]
    public void ShorterFileGoesOnAsSilenceAndIsMentioned()
    {
        var a = WavSamples.Noise(1, 48000, seed: 1);
        var b = WavSamples.Noise(1, 24000, seed: 2);
        using var input = WavInput.Open(Float("a.wav", a), Float("b.wav", b));

        var planar = WavSamples.ReadAll(input);

        Assert.Equal(48000, input.FrameCount);
        Assert.Equal(b[0], planar[1][..24000]);
        Assert.All(planar[1][24000..], sample => Assert.Equal(0, sample));
        Assert.Contains("b.wav: is 0.500 s shorter", Assert.Single(input.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void FramesBeyondFourGigabytesAreFound()
    {
        // Sparse: the file claims 5 GB and occupies a few kilobytes.
        const long frames = 5L << 28;
        var path = folder.File("long.wav");
        using (var stream = new FileStream(path, FileMode.CreateNew))
        {
            byte[] sizes = [.. BitConverter.GetBytes(4 * frames + 72), .. BitConverter.GetBytes(4 * frames), .. BitConverter.GetBytes(frames), 0, 0, 0, 0];
            stream.Write(WavSamples.Riff("RF64", ("ds64", sizes, -1), ("fmt ", WavSamples.Fmt(channels: 2), -1), ("data", [], uint.MaxValue)));
            stream.SetLength(stream.Position + 4 * frames);
            stream.Seek(-4, SeekOrigin.End);
            stream.Write([0x00, 0x40, 0x00, 0xC0]);
        }

        using var input = WavInput.Open(path);
        Assert.Equal(frames, input.FrameCount);
        input.Seek(frames - 1);
        var last = new[] { new float[1], new float[1] };
        Assert.Equal(1, input.Read(last, 5));
        Assert.Equal((0.5f, -0.5f), (last[0][0], last[1][0]));
    }

    [Fact]
    public void LengthThatAPipeLeftOpenReachesToTheEndOfTheFile()
    {
        var path = folder.File("piped.wav");
        File.WriteAllBytes(path, WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(), -1), ("data", new byte[200], uint.MaxValue)));

        using var input = WavInput.Open(path);

        Assert.Equal(100, input.FrameCount);
    }

    private string Float(string name, float[][] planar) =>
        WavSamples.Write(folder.File(name), planar, new WavOutputFormat(48000, planar.Length, SampleFormat.Float32));
}
