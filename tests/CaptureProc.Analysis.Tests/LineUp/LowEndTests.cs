using CaptureProc.Analysis.LineUp;

namespace CaptureProc.Analysis.Tests.LineUp;

/// <summary>The low end that hum is looked for in: the same sums as one tap after the other gives, to the last bit.</summary>
public sealed class LowEndTests
{
    [Theory]
    [InlineData(48000, 1)]
    [InlineData(48000, 8192)]
    [InlineData(44100, 777)]
    [InlineData(96000, 5000)]
    [InlineData(1500, 64)]
    public void ItIsTheWindowedSincSampleBySample(int rateHz, int blockFrames)
    {
        var random = new Random(rateHz + blockFrames);
        var signal = new float[rateHz / 2 + 123];
        for (var n = 0; n < signal.Length; n++)
            signal[n] = (float)(random.NextDouble() - 0.5);
        var lowEnd = new LowEnd(rateHz);
        for (var first = 0; first < signal.Length; first += blockFrames)
        {
            lowEnd.Add(signal.AsSpan(first, Math.Min(blockFrames, signal.Length - first)));
            // Looked at on the way, too, as the findings do.
            if (first / blockFrames % 7 == 3)
                _ = lowEnd.Kept.Count;
        }
        Assert.Equal(Plain(signal, rateHz, lowEnd.Step), lowEnd.Kept);
    }

    // The definition, as it stands beside the constants of the class.
    private static List<float> Plain(float[] signal, double rateHz, int step)
    {
        var half = (int)Math.Ceiling(5.5 * rateHz / 300 / 2);
        var taps = new double[2 * half + 1];
        var total = 0.0;
        for (var n = -half; n <= half; n++)
        {
            var x = 2 * Math.PI * 500 / rateHz * n;
            var window = 0.42 + 0.5 * Math.Cos(Math.PI * n / (half + 1)) + 0.08 * Math.Cos(2 * Math.PI * n / (half + 1));
            total += taps[n + half] = (n == 0 ? 1 : Math.Sin(x) / x) * window;
        }
        var kept = new List<float>();
        for (var middle = 0; middle + half < signal.Length; middle += step)
        {
            var sum = 0.0;
            for (var n = 0; n < taps.Length; n++)
                sum += taps[n] / total * (middle - half + n is var at and >= 0 ? signal[at] : 0);
            kept.Add((float)sum);
        }
        return kept;
    }
}
