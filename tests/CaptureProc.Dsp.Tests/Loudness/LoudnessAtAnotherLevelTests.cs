using CaptureProc.Dsp.Loudness;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.Loudness;

/// <summary>A programme that was measured once, read at another level: the same as measuring it again at that level.</summary>
public sealed class LoudnessAtAnotherLevelTests
{
    [Theory]
    [InlineData(12)]
    [InlineData(-18.3)]
    public void EveryFigureIsWhatMeasuringAgainGives(double gainDb)
    {
        var random = new Random(5);
        // Passages from −15 to −75 LUFS or so: the gain takes some of them across the gate at −70.
        var programme = new float[2][] { new float[48000 * 30], new float[48000 * 30] };
        for (var n = 0; n < programme[0].Length; n++)
        {
            var level = Math.Pow(10, -(10 + n / 48000 / 5 * 12) / 20.0);
            foreach (var channel in programme)
                channel[n] = (float)(level * (random.NextDouble() - 0.5));
        }
        var gain = (float)Math.Pow(10, gainDb / 20);
        var once = Measure(programme, keeps: true).At(gainDb);
        var again = Measure([.. programme.Select(c => c.Select(x => x * gain).ToArray())], keeps: false);

        Assert.Equal(again.IntegratedLufs, once.IntegratedLufs, 1e-4);
        Assert.Equal(again.RangeLu, once.RangeLu, 1e-4);
        Assert.Equal(again.MaxMomentaryLufs, once.MaxMomentaryLufs, 1e-4);
        Assert.Equal(again.MaxShortTermLufs, once.MaxShortTermLufs, 1e-4);
    }

    private static LoudnessMeter Measure(float[][] programme, bool keeps)
    {
        var meter = new LoudnessMeter(48000, [1, 1]) { KeepsSlices = keeps };
        meter.Process(new ReadOnlyPlanarSpan(programme, 0, programme[0].Length));
        return meter;
    }
}
