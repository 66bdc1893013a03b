namespace CaptureProc.Wav.Tests;

/// <summary>Files go from sox to us and from us to sox; both have to agree on every sample.</summary>
public sealed class AgainstSoxTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    public static TheoryData<SampleFormat, int> FormatsAndChannels
    {
        get
        {
            var data = new TheoryData<SampleFormat, int>();
            foreach (var format in Enum.GetValues<SampleFormat>())
                foreach (var channels in (int[])[1, 2, 3, 4, 8, 9, 16])
                    data.Add(format, channels);
            return data;
        }
    }

    public static TheoryData<SampleFormat, int> FormatsWrittenAndChannels =>
        [.. FormatsAndChannels.Where(row => row.Data.Item1 != SampleFormat.Float64)];

    [Theory]
    [MemberData(nameof(FormatsAndChannels))]
    public void WhatSoxWritesIsReadAsSoxReadsIt(SampleFormat format, int channels)
    {
        var path = folder.File("noise.wav");
        string[] encoding = !format.IsInteger() ? ["-e", "floating-point", "-b", $"{8 * format.BytesPerSample()}"] : ["-b", $"{8 * format.BytesPerSample()}"];
        // -R: the same noise in every run. 4801 frames: odd, and longer than one block of the reader.
        Tool.Run("sox", ["-R", "-D", "-r", "48000", "-n", .. encoding, "-c", $"{channels}", path, "synth", "4801s", "whitenoise", "gain", "-1"]);
        var expected = Tool.ReadWithSox(path);

        using var input = WavInput.Open(path);
        Assert.Equal((48000, channels, 4801L), (input.SampleRateHz, input.ChannelCount, input.FrameCount));
        var planar = WavSamples.ReadAll(input);

        // 32-bit PCM and 64-bit float are rounded to float: at most half a step of 2^-24 below full scale. The others are exact.
        var tolerance = format is SampleFormat.Pcm32 or SampleFormat.Float64 ? Math.Pow(2, -25) : 0;
        Assert.Equal(expected.Length, channels * 4801);
        for (var i = 0; i < expected.Length; i++)
            Assert.True(Math.Abs(expected[i] - planar[i % channels][i / channels]) <= tolerance, $"sample {i}");
    }

    [Theory]
    [MemberData(nameof(FormatsWrittenAndChannels))]
    public void WhatWeWriteSoxReadsRoundedToNearest(SampleFormat format, int channels)
    {
        var planar = WavSamples.Noise(channels, 4801, seed: 7);
        var path = WavSamples.Write(folder.File("noise.wav"), planar, new WavOutputFormat(44100, channels, format));

        var read = Tool.ReadWithSox(path);

        var full = format.IsInteger() ? Math.Pow(2, 8 * format.BytesPerSample() - 1) : 0;
        // sox itself works in 32-bit integers and cuts a float to them: within one of its steps; an integer format comes back exactly.
        var tolerance = format.IsInteger() ? 0 : Math.Pow(2, -31);
        Assert.Equal(channels * 4801, read.Length);
        for (var i = 0; i < read.Length; i++)
        {
            double sample = planar[i % channels][i / channels];
            Assert.Equal(format.IsInteger() ? Math.Round(sample * full) / full : sample, read[i], tolerance);
        }
        Assert.Equal("44100", System.Text.Encoding.ASCII.GetString(Tool.Run("soxi", "-r", path)).Trim());
    }

    [Fact]
    public void OurRf64IsReadByFfmpegSampleBySample()
    {
        var planar = WavSamples.Noise(4, 5000, seed: 3);
        // The change of header is made at 1000 bytes instead of 4 GB.
        var path = WavSamples.Write(folder.File("long.wav"), planar, new WavOutputFormat(48000, 4, SampleFormat.Pcm24) { Rf64FromBytes = 1000 });

        Assert.Equal("RF64"u8, File.ReadAllBytes(path).AsSpan(0, 4));
        var read = Tool.ReadWithFfmpeg(path);

        Assert.Equal(4 * 5000, read.Length);
        for (var i = 0; i < read.Length; i++)
            Assert.Equal(Math.Round(planar[i % 4][i / 4] * 8388608.0) / 8388608, read[i]);
    }

    [Theory]
    [InlineData("RF64")]
    [InlineData("BW64")]
    public void Rf64AndBw64FromFfmpegAreReadSampleBySample(string form)
    {
        var (plain, path) = (folder.File("plain.wav"), folder.File("long.wav"));
        Tool.Run("sox", "-R", "-D", "-r", "96000", "-n", "-b", "24", "-c", "4", plain, "synth", "5000s", "pinknoise");
        Tool.Run("ffmpeg", "-loglevel", "error", "-i", plain, "-c:a", "pcm_s24le", "-rf64", "always", path);
        using (var stream = new FileStream(path, FileMode.Open))
            stream.Write(System.Text.Encoding.ASCII.GetBytes(form));

        using var input = WavInput.Open(path);
        var planar = WavSamples.ReadAll(input);

        var expected = Tool.ReadWithSox(plain);
        for (var i = 0; i < expected.Length; i++)
            Assert.Equal(expected[i], planar[i % 4][i / 4]);
    }
}
