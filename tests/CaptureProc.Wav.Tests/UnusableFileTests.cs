using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Wav.Tests;

/// <summary>Each way in which a recording can be unusable is said in one line that names the file.</summary>
public sealed class UnusableFileTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    public static TheoryData<string, byte[], string> Files => new()
    {
        { "nothing", [], "is no WAV file" },
        { "text", Encoding.ASCII.GetBytes("Dear engineer, this is a letter and no recording."), "is no WAV file" },
        { "another RIFF", Encoding.ASCII.GetBytes("RIFF\0\0\0\0AVI LIST\0\0\0\0"), "is no WAV file" },
        { "only a head", WavSamples.Riff("RIFF"), "has no 'fmt' chunk" },
        { "short fmt", WavSamples.Riff("RIFF", ("fmt ", [1, 0, 1, 0], -1)), "'fmt' chunk is too short" },
        { "no data", WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(), -1)), "ends before its audio begins" },
        { "no channels", WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(channels: 0), -1), ("data", new byte[100], -1)), "has no channels" },
        { "no rate", WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(rate: 0), -1), ("data", new byte[100], -1)), "sample rate of 0 Hz" },
        { "8 bit", WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(bits: 8), -1), ("data", new byte[100], -1)), "holds 8-bit PCM samples" },
        { "compressed", WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(tag: 85, bits: 16), -1), ("data", new byte[160], -1)), "compressed (format 85)" },
        { "empty", WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(), -1), ("data", [], -1)), "holds no audio" },
    };

    [Theory]
    [MemberData(nameof(Files))]
    public void FileIsRefusedWithItsNameAndItsFault(string kind, byte[] contents, string said)
    {
        var path = folder.File($"{kind}.wav");
        File.WriteAllBytes(path, contents);

        var refusal = WavSamples.Refusal(() => WavInput.Open(path).Dispose());

        Assert.Equal("not-a-usable-wav", refusal.Code);
        Assert.StartsWith(path, refusal.Message, StringComparison.Ordinal);
        Assert.Contains(said, refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void EveryTruncationOfAGoodFileIsRefusedOrReadAsFarAsItGoesAndSaid()
    {
        var whole = File.ReadAllBytes(WavSamples.Write(folder.File("whole.wav"), WavSamples.Noise(4, 50, seed: 1),
            new WavOutputFormat(48000, 4, SampleFormat.Pcm24) { ChannelNames = ["FLU", "FRD", "BLD", "BRU"] }));
        var path = folder.File("cut.wav");

        for (var length = 0; length < whole.Length; length++)
        {
            File.WriteAllBytes(path, whole[..length]);
            try
            {
                using var input = WavInput.Open(path);
                Assert.Contains("is cut short", Assert.Single(input.Faults), StringComparison.Ordinal);
                Assert.Equal(input.FrameCount, WavSamples.ReadAll(input)[3].Length);
            }
            catch (UnusableInputException refusal)
            {
                Assert.StartsWith(path, refusal.Message, StringComparison.Ordinal);
            }
        }
    }

    [Fact]
    public void MissingFileIsRefused() =>
        Assert.Equal("file-missing", WavSamples.Refusal(() => WavInput.Open(folder.File("none.wav"))).Code);

    [Fact]
    public void PipeIsRefusedWithoutWaitingForIt()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "needs named pipes");
        Tool.Run("mkfifo", folder.File("pipe.wav"));

        Assert.Contains("is a pipe or a device", WavSamples.Refusal(() => WavInput.Open(folder.File("pipe.wav"))).Message, StringComparison.Ordinal);
        Assert.Contains("is a pipe or a device", WavSamples.Refusal(() => WavInput.Open("/dev/zero")).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void FolderIsRefused() => Assert.Equal("file-unreadable", WavSamples.Refusal(() => WavInput.Open(folder.Path)).Code);

    [Fact]
    public void DifferentRatesAreRefused()
    {
        var a = WavSamples.Write(folder.File("a.wav"), WavSamples.Noise(1, 10, 1), new WavOutputFormat(48000, 1, SampleFormat.Pcm16));
        var b = WavSamples.Write(folder.File("b.wav"), WavSamples.Noise(1, 10, 1), new WavOutputFormat(96000, 1, SampleFormat.Pcm16));

        Assert.Equal("rates-differ", WavSamples.Refusal(() => WavInput.Open(a, b)).Code);
    }

    [Fact]
    public void RateOfAnotherSessionIsRefused()
    {
        using var input = WavInput.Open(WavSamples.Write(folder.File("a.wav"), WavSamples.Noise(1, 10, 1), new WavOutputFormat(44100, 1, SampleFormat.Pcm16)));

        Assert.Equal("rate-differs", WavSamples.Refusal(() => input.RequireSampleRate(48000)).Code);
    }

    [Fact]
    public void ChannelThatIsNotThereIsRefused()
    {
        using var input = WavInput.Open(WavSamples.Write(folder.File("a.wav"), WavSamples.Noise(2, 10, 1), new WavOutputFormat(48000, 2, SampleFormat.Pcm16)));

        input.RequireChannels([1, 2], "array 'main'");
        Assert.Contains("channel 3 of spot 'harp' is not there",
            WavSamples.Refusal(() => input.RequireChannels([3], "spot 'harp'")).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(float.NaN)]
    [InlineData(float.PositiveInfinity)]
    [InlineData(float.NegativeInfinity)]
    public void SampleThatIsNoNumberIsPlacedByChannelAndTime(float value)
    {
        var noise = WavSamples.Noise(3, 48000, seed: 1);
        noise[1][36000] = value;
        using var input = WavInput.Open(WavSamples.Write(folder.File("a.wav"), noise, new WavOutputFormat(48000, 3, SampleFormat.Float32)));

        var refusal = WavSamples.Refusal(() => WavSamples.ReadAll(input));

        Assert.Equal("not-a-number", refusal.Code);
        Assert.Contains("channel 2 holds a sample that is no number (NaN or infinity) at 0.750 s", refusal.Message, StringComparison.Ordinal);
    }
}
