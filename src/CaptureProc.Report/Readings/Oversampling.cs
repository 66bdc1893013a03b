using CaptureProc.Dsp.Delay;

namespace CaptureProc.Report.Readings;

/// <summary>Points between the samples of a band-limited signal, for a plot from near by.</summary>
internal static class Oversampling
{
    /// <summary>Points a sample: a straight line between two of them is as good as the curve.</summary>
    public const int PointsPerSample = 8;

    /// <summary>From one point to the next, in samples.</summary>
    public const double Step = 1.0 / PointsPerSample;

    /// <summary>Samples that are needed on either side of the stretch.</summary>
    public const int Margin = FractionalDelayKernel.TapCount;

    /// <param name="samples">The stretch with <see cref="Margin"/> samples more on either side.</param>
    /// <returns>The stretch from its first sample on, <see cref="PointsPerSample"/> points a sample.</returns>
    public static float[] Between(ReadOnlySpan<float> samples)
    {
        var points = new float[Math.Max(0, (samples.Length - 2 * Margin) * PointsPerSample)];
        Span<double> taps = stackalloc double[FractionalDelayKernel.TapCount];
        for (var phase = 0; phase < PointsPerSample; phase++)
        {
            // The point lies a fraction before the next whole sample: the signal delayed by that fraction, read there.
            var back = phase == 0 ? 0.0 : 1 - phase * Step;
            FractionalDelayKernel.Fill(back, taps);
            for (var point = phase; point < points.Length; point += PointsPerSample)
            {
                var whole = Margin + point / PointsPerSample + (phase == 0 ? 0 : 1);
                var sum = 0.0;
                for (var k = 0; k < taps.Length; k++)
                    sum += taps[k] * samples[whole + FractionalDelayKernel.LatencyFrames - k];
                points[point] = (float)sum;
            }
        }
        return points;
    }
}
