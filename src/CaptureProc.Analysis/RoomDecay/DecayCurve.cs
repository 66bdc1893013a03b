using CaptureProc.Analysis.Fitting;

namespace CaptureProc.Analysis.RoomDecay;

/// <summary>How the sound of one impulse dies away in one band: integrated backwards, freed from noise.</summary>
/// <remarks>
/// Thread: [any]. Shape: squared samples of a band in, from before the impulse to the end of the decay.
/// Definition: S(t) = ∫ p² from t on, ISO 3382-1:2009 5.3.3 (integrated impulse response; Schroeder, JASA 37, 1965). The background's mean
/// square is taken off, the integral ends at t₁, where the decay comes within 6 dB of the background or something else begins to
/// sound, and what lies beyond t₁ is added as an exponential decay of the slope before it. EDT is fitted from 0 to −10 dB, T20 from −5
/// to −25 dB, T30 from −5 to −35 dB, each extrapolated to 60 dB; the background has to lie 10 dB below the end of the range.
/// C80 is the energy of the first 80 ms over that of the rest.
/// Error: on noise of known decay within the limits of DecayCurveTests.
/// </remarks>
public sealed class DecayCurve
{
    // A twentieth of the shortest decay that matters, 0.2 s.
    private const double BlockSeconds = 0.005;
    private const double SmoothSeconds = 0.05;
    private const int FewestBlocks = 12;

    /// <summary>What a power falls by in the reverberation time: ln 10^6.</summary>
    private static readonly double Nepers = 6 * Math.Log(10);

    private readonly double[] integral;

    private DecayCurve(double[] integral, double rangeDb) => (this.integral, RangeDb) = (integral, rangeDb);

    /// <summary>How far the beginning of the decay stands above the background.</summary>
    public double RangeDb { get; }

    /// <summary>0 to −10 dB; null where the background does not allow it.</summary>
    public double? EdtSeconds => Fit(0, -10);

    public double? T20Seconds => Fit(-5, -25);

    public double? T30Seconds => Fit(-5, -35);

    /// <summary>Energy of the first 80 ms over the rest; null where the background does not allow it.</summary>
    public double? C80Db
    {
        get
        {
            var at = (int)Math.Round(0.08 / BlockSeconds);
            return RangeDb >= 25 && at < integral.Length && integral[at] > 0 ? 10 * Math.Log10((integral[0] - integral[at]) / integral[at]) : null;
        }
    }

    /// <summary>Null where no decay stands out of the background.</summary>
    /// <param name="squares">p² of the band.</param>
    /// <param name="start">The sample at which the direct sound arrives.</param>
    /// <param name="before">Samples that the band filter's answer spreads ahead of the arrival; their energy belongs to it.</param>
    /// <param name="background">Mean square of what sounds without the impulse.</param>
    /// <param name="sampleRateHz">Of the samples.</param>
    public static DecayCurve? Of(ReadOnlySpan<double> squares, int start, int before, double background, double sampleRateHz)
    {
        var size = Math.Max(1, (int)(BlockSeconds * sampleRateHz));
        var blocks = new double[(squares.Length - start) / size];
        for (var b = 0; b < blocks.Length; b++)
            foreach (var square in squares.Slice(start + b * size, size))
                blocks[b] += square / sampleRateHz;
        if (blocks.Length < FewestBlocks)
            return null;
        for (var n = Math.Max(0, start - before); n < start; n++)
            blocks[0] += (squares[n] - background) / sampleRateHz;

        var noise = background * size / sampleRateHz;
        var end = End(blocks, noise);
        if (end < FewestBlocks || Slope(blocks, noise, end) is not { } slope)
            return null;
        // Beyond the end the line goes on: the sum of a geometric series.
        var tail = slope.AtEnd * slope.Ratio / (1 - slope.Ratio);
        var integral = new double[end + 1];
        integral[end] = tail;
        for (var b = end - 1; b >= 0; b--)
            integral[b] = integral[b + 1] + blocks[b] - noise;
        if (!(integral[0] > 0))
            return null;
        // The line's level at the beginning is what ISO's peak level of the decay comes to.
        var range = 10 * Math.Log10(integral[0] * (1 - slope.Ratio) / Math.Max(noise, 1e-30 * integral[0]));
        return new DecayCurve(integral, range);
    }

    /// <summary>The block at which the decay is over.</summary>
    private static int End(double[] blocks, double noise)
    {
        var smooth = (int)(SmoothSeconds / BlockSeconds);
        var lowest = double.MaxValue;
        for (var b = 0; b + smooth <= blocks.Length; b++)
        {
            var mean = 0.0;
            for (var i = 0; i < smooth; i++)
                mean += blocks[b + i] / smooth;
            // 6 dB above the background; or 6 dB up again from where it had come down to: somebody speaks, the next clap.
            if (mean < 4 * noise || mean > 4 * lowest)
                return b;
            lowest = Math.Min(lowest, mean);
        }
        return blocks.Length;
    }

    /// <summary>Ratio from block to block and size at the end, from a line through the last half of the decay.</summary>
    private static (double Ratio, double AtEnd)? Slope(double[] blocks, double noise, int end)
    {
        var line = new LineFit();
        for (var b = end / 2; b < end; b++)
            line.Add(b, Math.Log(Math.Max(blocks[b] - noise, 0.05 * blocks[b] + 1e-300)));
        // A decay of more than 20 s is none.
        return line.Slope < -Nepers * BlockSeconds / 20 ? (Math.Exp(line.Slope), Math.Exp(line.At(end))) : null;
    }

    private double? Fit(double fromDb, double toDb)
    {
        if (RangeDb < 10 - toDb)
            return null;
        var line = new LineFit();
        for (var b = 0; b < integral.Length && integral[b] > 0; b++)
        {
            var db = 10 * Math.Log10(integral[b] / integral[0]);
            if (db < toDb)
                break;
            if (db > fromDb)
                continue;
            line.Add(b, db);
        }
        return line.Count >= 3 && line.Slope < 0 ? -60 * BlockSeconds / line.Slope : null;
    }
}
