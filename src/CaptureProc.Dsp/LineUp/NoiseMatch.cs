using System.Numerics;
using System.Runtime.InteropServices;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>Tells whether two channels, heard one after the other, heard the same stretch of noise, and compares their power over it.</summary>
/// <remarks>
/// Thread: one at a time. Allocates: in the constructor only. Cost: some 200 000 vector operations for two histories of 10 s.
/// Noise that repeats (a generator with a period, a file that is started again) has the same ups and downs in every band each
/// time. Two histories are therefore laid over one another at every distance; at the right one they agree, and from then on the
/// fluctuations of the noise are the same in both and drop out of the comparison, but for the ragged ends. Noise that never
/// repeats agrees nowhere, and the caller has to live with its fluctuations.
/// </remarks>
internal sealed class NoiseMatch
{
    // Two seconds at 48 kHz: less than that agrees by chance too easily.
    private const int MinOverlap = 24;

    // The worst true match, half a hop off, agrees to 0.6; chance stays below 0.2 over the whole search (0.04 sigma).
    private const double Agreement = 0.35;

    // What a comparison by powers of hops cannot see within them: relative variance of the power of one hop's worth of noise times
    // the squared mismatch of the ends, in hops. The mismatch ∫(linear interpolation − slope)² of the window's sin² slope
    // is 0.073 at its worst, half a hop off; an error of the distance (0.02 hop, by simulation) adds π²/8 times its square.
    private const double WorstEndMismatch = 0.073;
    private const double DistanceSigmaHops = 0.02;

    private readonly int bandCount, paddedBands;
    private readonly float[] reference, other;

    public NoiseMatch(int bandCount)
    {
        this.bandCount = bandCount;
        paddedBands = (bandCount + Vector<float>.Count - 1) / Vector<float>.Count * Vector<float>.Count;
        reference = FlatArray.New<float>(NoiseHistory.Capacity * paddedBands);
        other = FlatArray.New<float>(NoiseHistory.Capacity * paddedBands);
    }

    /// <summary>Power of <paramref name="channel"/> over that of <paramref name="referenceChannel"/>, in nepers, over the noise they share.</summary>
    /// <param name="referenceChannel">History of the reference.</param>
    /// <param name="channel">History of the channel.</param>
    /// <param name="hopPowerVariance">Relative variance of the power of one hop's worth of the noise.</param>
    /// <param name="logRatio">ln of the ratio of powers.</param>
    /// <param name="variance">Variance of <paramref name="logRatio"/>.</param>
    /// <param name="overlapHops">How much of the noise was shared.</param>
    public bool TryCompare(NoiseHistory referenceChannel, NoiseHistory channel, double hopPowerVariance,
        out double logRatio, out double variance, out int overlapHops)
    {
        (logRatio, variance, overlapHops) = (0, double.PositiveInfinity, 0);
        if (referenceChannel.Count < MinOverlap || channel.Count < MinOverlap)
            return false;
        Standardise(referenceChannel, reference);
        Standardise(channel, other);

        var (best, bestDistance, mostAgreement) = (0.0, int.MinValue, 0.0);
        for (var distance = MinOverlap - referenceChannel.Count; distance <= channel.Count - MinOverlap; distance++)
        {
            var score = Score(referenceChannel.Count, channel.Count, distance);
            // Noise with a period agrees at several distances: the one that shares most of it tells most.
            var agreement = score * Overlap(referenceChannel.Count, channel.Count, distance);
            if (score > Agreement && agreement > mostAgreement)
                (best, bestDistance, mostAgreement) = (score, distance, agreement);
        }
        if (bestDistance == int.MinValue)
            return false;

        var fraction = Fraction(Score(referenceChannel.Count, channel.Count, bestDistance - 1), best, Score(referenceChannel.Count, channel.Count, bestDistance + 1));
        Compare(referenceChannel, channel, bestDistance + fraction, out logRatio, out overlapHops);
        var ragged = 4 * Math.Abs(fraction) * (1 - Math.Abs(fraction));
        var mismatch = WorstEndMismatch * ragged * ragged + Math.PI * Math.PI / 8 * DistanceSigmaHops * DistanceSigmaHops;
        variance = 2 * hopPowerVariance * mismatch / overlapHops / overlapHops;
        return true;
    }

    // Every band with mean 0 and mean square 1 over the history, so that the agreement is a plain mean of products.
    private void Standardise(NoiseHistory history, float[] target)
    {
        Array.Clear(target);
        for (var band = 0; band < bandCount; band++)
        {
            var (sum, squares) = (0.0, 0.0);
            for (var k = 0; k < history.Count; k++)
            {
                double power = history.Bands(k)[band];
                sum += power;
                squares += power * power;
            }
            var mean = sum / history.Count;
            var scale = 1 / Math.Sqrt(Math.Max(squares / history.Count - mean * mean, double.Epsilon));
            if (!double.IsFinite(scale))
                scale = 0;
            for (var k = 0; k < history.Count; k++)
                target[k * paddedBands + band] = (float)((history.Bands(k)[band] - mean) * scale);
        }
    }

    private static int Overlap(int referenceCount, int otherCount, int distance) =>
        Math.Min(referenceCount, otherCount - distance) - Math.Max(0, -distance);

    /// <summary>Agreement of reference hop k with hop k + distance of the other; 0 where they overlap too little.</summary>
    private double Score(int referenceCount, int otherCount, int distance)
    {
        var from = Math.Max(0, -distance);
        var count = Overlap(referenceCount, otherCount, distance);
        if (count < MinOverlap)
            return 0;
        var a = MemoryMarshal.Cast<float, Vector<float>>(reference.AsSpan(from * paddedBands, count * paddedBands));
        var b = MemoryMarshal.Cast<float, Vector<float>>(other.AsSpan((from + distance) * paddedBands, count * paddedBands));
        var sum = Vector<float>.Zero;
        for (var v = 0; v < a.Length; v++)
            sum += a[v] * b[v];
        return Vector.Sum(sum) / ((double)count * bandCount);
    }

    // The agreement falls with the distance as the windows' squares overlap; the fraction is the one that explains all three scores.
    private static double Fraction(double before, double at, double after)
    {
        var (best, bestError) = (0.0, double.PositiveInfinity);
        for (var step = -50; step <= 50; step++)
        {
            var fraction = step / 100.0;
            var (modelBefore, modelAt, modelAfter) = (WindowOverlap(1 + fraction), WindowOverlap(fraction), WindowOverlap(1 - fraction));
            var scale = (before * modelBefore + at * modelAt + after * modelAfter)
                / (modelBefore * modelBefore + modelAt * modelAt + modelAfter * modelAfter);
            var (e1, e2, e3) = (before - scale * modelBefore, at - scale * modelAt, after - scale * modelAfter);
            var error = e1 * e1 + e2 * e2 + e3 * e3;
            if (error < bestError)
                (best, bestError) = (fraction, error);
        }
        return best;
    }

    /// <summary>∫ w²(t)·w²(t + distance) over ∫ w⁴ for the sine window, distance in hops (half windows).</summary>
    private static double WindowOverlap(double distanceHops)
    {
        var u = Math.Abs(distanceHops) / 2;
        if (u >= 1)
            return 0;
        // sin²a·sin²b = (1 − cos 2a − cos 2b + cos 2a·cos 2b)/4, integrated from 0 to 1 − u.
        var (sin2, cos2) = Math.SinCos(2 * Math.PI * u);
        return ((1 - u) * (1 + cos2 / 2) + 3 * sin2 / (4 * Math.PI)) / 1.5;
    }

    private static void Compare(NoiseHistory reference, NoiseHistory channel, double distance, out double logRatio, out int overlapHops)
    {
        var whole = (int)Math.Floor(distance);
        var fraction = distance - whole;
        var from = Math.Max(0, -whole);
        // One hop more of the channel than of the reference: its powers are interpolated.
        overlapHops = Math.Min(reference.Count, channel.Count - whole - (fraction > 0 ? 1 : 0)) - from;
        var (a, b) = (0.0, 0.0);
        for (var k = from; k < from + overlapHops; k++)
        {
            a += reference.Total(k);
            b += (1 - fraction) * channel.Total(k + whole) + (fraction > 0 ? fraction * channel.Total(k + whole + 1) : 0);
        }
        logRatio = Math.Log(b / a);
    }
}
