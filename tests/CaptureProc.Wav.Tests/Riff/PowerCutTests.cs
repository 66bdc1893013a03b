using System.Buffers.Binary;
using System.Diagnostics;

namespace CaptureProc.Wav.Tests.Riff;

/// <summary>Headers that were never finished, and files that end too soon: what is there is read, and said.</summary>
public sealed class PowerCutTests : IDisposable
{
    private const int Frames = 24000;

    private readonly TemporaryFolder folder = new();
    private readonly byte[] audio = Audio();

    public void Dispose() => folder.Dispose();

    [Theory]
    [InlineData("RIFF", 0)]
    [InlineData("RIFF", 9600)]
    [InlineData("RF64", uint.MaxValue)]
    public void AudioBehindAWrongLengthIsReadAndSaid(string form, long claimed)
    {
        using var input = WavInput.Open(File_(form, claimed, audio));

        Assert.Equal(Frames, input.FrameCount);
        Assert.Equal(Expected(), WavSamples.ReadAll(input)[0]);
        Assert.Contains($"its header says {(claimed == 9600 ? "0.1" : "0")} s, but the audio goes on behind it, as after a power cut; all 0.5 s are read", Assert.Single(input.Faults), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(9600)]
    public void RoomClaimedBeforehandBehindAnUnfinishedRecordingIsNoAudio(int claimed)
    {
        using var input = WavInput.Open(File_("RIFF", claimed, [.. audio, .. new byte[3_000_001]]));

        Assert.Equal(Frames, input.FrameCount);
    }

    [Fact]
    public void ZerosBehindTheDataCostNothing()
    {
        // 64 GB of them, a hole in the file: read through they would take a minute.
        var path = File_("RIFF", -1, audio);
        using (var stream = new FileStream(path, FileMode.Open))
            stream.SetLength(64L << 30);
        var before = Process.GetCurrentProcess().TotalProcessorTime;

        using var input = WavInput.Open(path);

        Assert.InRange((Process.GetCurrentProcess().TotalProcessorTime - before).TotalSeconds, 0, 20);
        Assert.Equal(Frames, input.FrameCount);
        Assert.Empty(input.Faults);
        Assert.Empty(input.Warnings);
    }

    [Theory]
    [InlineData("bext")]
    [InlineData("LIST")]
    [InlineData("zzzz")]
    public void ChunksBehindTheAudioAreNoAudio(string id)
    {
        var path = folder.File("a.wav");
        File.WriteAllBytes(path, WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(), -1), ("data", audio, -1), (id, [1, 2, 3, 4, 5, 6], -1)));

        using var input = WavInput.Open(path);

        Assert.Equal(Frames, input.FrameCount);
        Assert.Empty(input.Faults);
    }

    [Fact]
    public void FileCutShortIsReadAsFarAsItGoesAndSaid()
    {
        using var input = WavInput.Open(File_("RIFF", 4 * audio.Length, audio));

        Assert.Equal(Expected(), WavSamples.ReadAll(input)[0]);
        Assert.Contains("is cut short: its header says 2 s, but only 0.5 s are there and are read", Assert.Single(input.Faults), StringComparison.Ordinal);
    }

    [Fact]
    public void LengthsThatOverflowAreNoLengths()
    {
        var sizes = new byte[28];
        BinaryPrimitives.WriteInt64LittleEndian(sizes.AsSpan(8), long.MaxValue - 3);
        var path = folder.File("a.wav");
        File.WriteAllBytes(path, WavSamples.Riff("RF64", ("ds64", sizes, -1), ("fmt ", WavSamples.Fmt(), -1), ("data", audio, uint.MaxValue)));

        using var input = WavInput.Open(path);

        Assert.Equal(Frames, input.FrameCount);
        Assert.Single(input.Faults);
    }

    private string File_(string form, long claimed, byte[] contents)
    {
        var path = folder.File("a.wav");
        File.WriteAllBytes(path, WavSamples.Riff(form, ("fmt ", WavSamples.Fmt(), -1), ("data", contents, claimed)));
        return path;
    }

    private static byte[] Audio()
    {
        var bytes = new byte[2 * Frames];
        new Random(1).NextBytes(bytes);
        bytes[^1] = 1;
        return bytes;
    }

    private float[] Expected() => [.. Enumerable.Range(0, Frames).Select(i => BinaryPrimitives.ReadInt16LittleEndian(audio.AsSpan(2 * i)) / 32768f)];
}
