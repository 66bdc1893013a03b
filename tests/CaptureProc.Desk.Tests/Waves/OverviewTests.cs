using CaptureProc.DeskServer.Waves;
using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Tests.Waves;

public sealed class OverviewTests
{
    private const int Frames = 200_003;

    // Half a step of the square law at the sample's own size, and one step of 24-bit samples.
    private static double Tolerance(double sample) => Math.Sqrt(Math.Abs(sample)) / 127 + 1.0 / (127 * 127 * 4) + 1e-6;

    [Theory]
    [InlineData(0, Frames, 100)]
    [InlineData(12_345, 150_000, 333)]
    [InlineData(1000, 20_000, 400)]
    [InlineData(5, 3_000, 900)]
    public void EveryColumnHoldsTheSmallestAndTheLargestOfItsSamples(long first, long frames, int columns)
    {
        using var folder = new TemporaryFolder();
        var planar = Record(folder.File("a.wav"));
        var overview = Built(folder.File("a.wav"));
        var bytes = WaveView.Of(first, frames, columns).Draw([folder.File("a.wav")], overview);
        Assert.Equal(0, BitConverter.ToInt32(bytes, 0));
        var width = (double)frames / columns;
        // A level's cells may begin before a column and end after it, by less than one column.
        var cell = (int)Math.Ceiling(width);
        for (var channel = 0; channel < planar.Length; channel++)
            for (var i = 0; i < columns; i++)
            {
                var (from, to) = ((int)(first + Math.Floor(i * width)), (int)(first + Math.Ceiling((i + 1) * width)));
                var low = Expand(bytes[32 + channel * columns * 2 + 2 * i]);
                var high = Expand(bytes[32 + channel * columns * 2 + 2 * i + 1]);
                var inside = planar[channel][Math.Min(from, Frames - 1)..Math.Min(to, Frames)];
                var around = planar[channel][Math.Max(0, from - cell)..Math.Min(to + cell, Frames)];
                Assert.InRange(low, around.Min() - Tolerance(around.Min()), inside.Min() + Tolerance(inside.Min()));
                Assert.InRange(high, inside.Max() - Tolerance(inside.Max()), around.Max() + Tolerance(around.Max()));
            }
    }

    [Fact]
    public void NearEnoughTheSamplesThemselvesAreSeen()
    {
        using var folder = new TemporaryFolder();
        var planar = Record(folder.File("a.wav"));
        var bytes = WaveView.Of(777, 100, 800).Draw([folder.File("a.wav")], Built(folder.File("a.wav")));
        Assert.Equal(1, BitConverter.ToInt32(bytes, 0));
        Assert.Equal(100, BitConverter.ToInt32(bytes, 4));
        for (var channel = 0; channel < planar.Length; channel++)
            for (var n = 0; n < 100; n++)
                Assert.Equal(planar[channel][777 + n], BitConverter.ToSingle(bytes, 32 + 4 * (channel * 100 + n)), 1.0 / (1 << 23));
    }

    [Fact]
    public void ALongTakeGetsCoarserCellsAndNoMoreMemory()
    {
        // 16 channels, 24 bits, 6 GB: 45 minutes at 48 kHz.
        var overview = new Overview(16, 6_000_000_000L / (16 * 3));
        Assert.InRange(16L * overview.FrameCount / overview.FramesPerCell, 4_000_000, 16_000_000);
    }

    private static double Expand(byte b) => Math.Sign((sbyte)b) * Math.Pow((sbyte)b / 127.0, 2);

    private static Overview Built(string path)
    {
        using var input = WavInput.Open(path);
        var overview = new Overview(input.ChannelCount, input.FrameCount);
        overview.Build(input, CancellationToken.None);
        Assert.Equal(1, overview.ShareDone);
        return overview;
    }

    private static float[][] Record(string path)
    {
        var random = new Random(27);
        var planar = new float[3][];
        for (var c = 0; c < planar.Length; c++)
            planar[c] = [.. Enumerable.Range(0, Frames).Select(n => (float)((random.NextDouble() - 0.5) * Math.Pow(10, -c) * (1 + Math.Sin(n * 1e-4)) + 0.01 * c))];
        using var output = WavOutput.Create(path, new WavOutputFormat(48000, planar.Length, SampleFormat.Pcm24), replace: false);
        output.Write(planar, 0, Frames);
        output.Complete();
        return planar;
    }
}
