using CaptureProc.Analysis.Clicks;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.Clicks;

/// <summary>Finding sudden sounds in a stream.</summary>
public sealed class OnsetScannerTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(63)]
    [InlineData(64)]
    [InlineData(65)]
    [InlineData(1000)]
    [InlineData(4096)]
    public void OnsetsDoNotDependOnHowTheStreamIsCut(int runFrames)
    {
        var signal = Noise(50_000, 0.001);
        foreach (var at in new[] { 9_000, 22_345, 40_001 })
            AddBurst(signal, at, 0.2, 100);
        var whole = Scan(signal, 4096, 1);
        Assert.Equal(3, whole.Count);
        Assert.Equal(whole, Scan(signal, runFrames, 1));
    }

    [Fact]
    public void AnOnsetIsPlacedToTheBlock()
    {
        var signal = Noise(30_000, 0.001);
        AddBurst(signal, 12_345, 0.2, 100);
        Assert.InRange(12_345 - Assert.Single(Scan(signal, 4096, 1)).Frame, -11, 64);
    }

    [Fact]
    public void ASoundThatStaysIsNoOnset()
    {
        var signal = Noise(60_000, 0.001);
        AddBurst(signal, 20_000, 0.2, 20_000);
        Assert.Empty(Scan(signal, 4096, 1));
    }

    [Fact]
    public void AtFourTimesTheRateBlocksLastAsLong()
    {
        var signal = Noise(120_000, 0.001);
        AddBurst(signal, 50_000, 0.2, 400);
        Assert.InRange(50_000 - Assert.Single(Scan(signal, 4096, 4)).Frame, -44, 256);
    }

    [Fact]
    public void SilenceIsToldFromTheFaintestSound()
    {
        var scanner = new OnsetScanner(1);
        scanner.Process(new float[4096], []);
        Assert.False(scanner.HasSound);
        // One step of 24 bits.
        var faint = new float[4096];
        faint[1000] = 1.0f / (1 << 23);
        scanner.Process(faint, []);
        Assert.True(scanner.HasSound);
    }

    private static List<Onset> Scan(float[] signal, int run, int decimation)
    {
        var (scanner, found) = (new OnsetScanner(decimation), new List<Onset>());
        for (var from = 0; from < signal.Length; from += run)
            scanner.Process(signal.AsSpan(from, Math.Min(run, signal.Length - from)), found);
        scanner.Finish(found);
        // Sums of floats depend on their order in the seventh digit.
        return [.. found.Select(o => o with { Prominence = Math.Round(o.Prominence), Level = Math.Round(o.Level, 5) })];
    }

    private static float[] Noise(int frames, double rms)
    {
        var chance = new SeededRandom(21);
        return [.. Enumerable.Range(0, frames).Select(_ => (float)(rms * chance.Gaussian()))];
    }

    private static void AddBurst(float[] signal, int at, double size, int frames)
    {
        var chance = new SeededRandom((ulong)at);
        for (var n = 0; n < frames; n++)
            signal[at + n] += (float)(size * chance.Gaussian());
    }
}
