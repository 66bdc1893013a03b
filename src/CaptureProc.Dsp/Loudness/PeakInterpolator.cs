using System.Numerics;
using CaptureProc.Dsp.Delay;

namespace CaptureProc.Dsp.Loudness;

/// <summary>Looks at a waveform at 2, 4 or 8 points a sample and keeps the highest magnitude.</summary>
/// <remarks>
/// Thread: [audio] once made. Allocates: only when made.
/// The prototype is a sinc under a Kaiser window (β 4.9): flat to 0.45 of the sample rate within 0.03 dB, images at least
/// 50 dB down. Phase 0 is the sample itself and needs no filter.
/// A wave of limited band cannot fall far from its highest point: at most a quarter of a sample away, where the nearest sample or the point
/// half way to the next stands, it still has cos 45° = 0.71 of it. So these are looked at first, and the other points only where one of them
/// reaches half of the highest so far; the half leaves room for the filter, whose band is not limited as sharply.
/// </remarks>
internal sealed class PeakInterpolator
{
    public const int TapCount = 32;

    private const float NearShare = 0.5f;
    private const double TargetRateHz = 352_800;
    private static readonly KaiserWindow Window = new(4.9);

    private readonly Vector<float>[] taps;

    private PeakInterpolator(int phaseCount)
    {
        PhaseCount = phaseCount;
        taps = new Vector<float>[TapCount * (phaseCount - 1)];
        for (var phase = 1; phase < phaseCount; phase++)
            for (var tap = 0; tap < TapCount; tap++)
                taps[tap * (phaseCount - 1) + phase - 1] = new Vector<float>((float)Kernel(TapCount / 2 - 1 - tap + phase / (double)phaseCount));
    }

    public int PhaseCount { get; }

    public static PeakInterpolator ForRate(int sampleRateHz)
    {
        var phases = 2;
        while (phases < 8 && phases * (long)sampleRateHz < TargetRateHz)
            phases *= 2;
        return new PeakInterpolator(phases);
    }

    /// <summary>The window holds count + TapCount − 1 samples, oldest first, and at least one readable vector after them.</summary>
    /// <param name="window">The samples.</param>
    /// <param name="count">How many places are looked at.</param>
    /// <param name="soFar">The highest that is known; what does not pass it need not be found.</param>
    public float HighestMagnitude(ReadOnlySpan<float> window, int count, float soFar)
    {
        var highest = new Vector<float>(soFar);
        var i = 0;
        for (; i <= count - Vector<float>.Count; i += Vector<float>.Count)
        {
            var at = window[i..];
            var half = HalfWay(at);
            var here = Vector.Abs(new Vector<float>(at[(TapCount / 2 - 1)..]));
            var near = Vector.Max(Vector.Max(here, Vector.Abs(new Vector<float>(at[(TapCount / 2)..]))), half);
            if (!Vector.LessThanAll(near, highest * NearShare))
                highest = new Vector<float>(HighestLane(Vector.Max(highest, AllPhases(at)), Vector<float>.Count));
        }
        var result = HighestLane(highest, Vector<float>.Count);
        // Lanes past the end would see a waveform that breaks off; they come again with the next samples.
        return i < count ? Math.Max(result, HighestLane(AllPhases(window[i..]), count - i)) : result;
    }

    private Vector<float> AllPhases(ReadOnlySpan<float> at)
    {
        var onSample = Vector.Abs(new Vector<float>(at[(TapCount / 2 - 1)..]));
        return Vector.Max(onSample, PhaseCount switch
        {
            8 => SevenPhases(at),
            4 => ThreePhases(at),
            _ => OnePhase(at),
        });
    }

    // A sample that is no number makes its lane count as nothing.
    private static float HighestLane(Vector<float> values, int lanes)
    {
        var result = 0f;
        for (var lane = 0; lane < lanes; lane++)
            result = float.IsFinite(values[lane]) ? Math.Max(result, values[lane]) : result;
        return result;
    }

    private Vector<float> SevenPhases(ReadOnlySpan<float> at)
    {
        Vector<float> a = default, b = default, c = default, d = default, e = default, f = default, g = default;
        for (var tap = 0; tap < TapCount; tap++)
        {
            var x = new Vector<float>(at[tap..]);
            var h = taps.AsSpan(tap * 7, 7);
            a = Vector.MultiplyAddEstimate(h[0], x, a);
            b = Vector.MultiplyAddEstimate(h[1], x, b);
            c = Vector.MultiplyAddEstimate(h[2], x, c);
            d = Vector.MultiplyAddEstimate(h[3], x, d);
            e = Vector.MultiplyAddEstimate(h[4], x, e);
            f = Vector.MultiplyAddEstimate(h[5], x, f);
            g = Vector.MultiplyAddEstimate(h[6], x, g);
        }
        var low = Vector.Max(Vector.Max(Vector.Abs(a), Vector.Abs(b)), Vector.Max(Vector.Abs(c), Vector.Abs(d)));
        return Vector.Max(low, Vector.Max(Vector.Max(Vector.Abs(e), Vector.Abs(f)), Vector.Abs(g)));
    }

    private Vector<float> ThreePhases(ReadOnlySpan<float> at)
    {
        Vector<float> a = default, b = default, c = default;
        for (var tap = 0; tap < TapCount; tap++)
        {
            var x = new Vector<float>(at[tap..]);
            var h = taps.AsSpan(tap * 3, 3);
            a = Vector.MultiplyAddEstimate(h[0], x, a);
            b = Vector.MultiplyAddEstimate(h[1], x, b);
            c = Vector.MultiplyAddEstimate(h[2], x, c);
        }
        return Vector.Max(Vector.Max(Vector.Abs(a), Vector.Abs(b)), Vector.Abs(c));
    }

    // The magnitude half way to the next sample: one of the phases at every oversampling.
    private Vector<float> HalfWay(ReadOnlySpan<float> at)
    {
        Vector<float> even = default, odd = default;
        var (stride, own) = (PhaseCount - 1, PhaseCount / 2 - 1);
        for (var tap = 0; tap < TapCount; tap += 2)
        {
            even = Vector.MultiplyAddEstimate(taps[tap * stride + own], new Vector<float>(at[tap..]), even);
            odd = Vector.MultiplyAddEstimate(taps[(tap + 1) * stride + own], new Vector<float>(at[(tap + 1)..]), odd);
        }
        return Vector.Abs(even + odd);
    }

    private Vector<float> OnePhase(ReadOnlySpan<float> at)
    {
        Vector<float> a = default;
        for (var tap = 0; tap < TapCount; tap++)
            a = Vector.MultiplyAddEstimate(taps[tap], new Vector<float>(at[tap..]), a);
        return Vector.Abs(a);
    }

    private static double Kernel(double offsetSamples) => Sinc.At(offsetSamples) * Window.Evaluate(offsetSamples / (TapCount / 2));
}
