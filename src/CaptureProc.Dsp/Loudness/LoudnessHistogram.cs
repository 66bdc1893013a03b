using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Loudness;

/// <summary>Every loudness reading of a programme in bounded memory: gated mean and percentiles.</summary>
/// <remarks>
/// Thread: [audio] once constructed. Allocates: only in the constructor (160 KB).
/// A list of readings would be exact, but grows with the programme and allocates while it does. Bins of 0.01 LU that keep
/// count and energy sum give the exact mean of what they hold; only a gate's edge and a percentile are rounded to a bin.
/// Readings under the absolute gate of −70 LUFS never enter.
/// </remarks>
internal sealed class LoudnessHistogram
{
    public const double AbsoluteGateLufs = -70;

    private const double BinsPerLu = 100;
    private const double TopLufs = 30;
    private const int BinCount = (int)((TopLufs - AbsoluteGateLufs) * BinsPerLu);

    private readonly long[] counts = FlatArray.New<long>(BinCount);
    private readonly double[] powers = FlatArray.New<double>(BinCount);

    public void Reset()
    {
        Array.Clear(counts);
        Array.Clear(powers);
    }

    /// <summary>Takes one block's weighted mean square.</summary>
    public void Add(double power)
    {
        var lufs = LoudnessScale.ToLufs(power);
        if (!(lufs > AbsoluteGateLufs))
            return;
        var bin = Math.Min((int)((lufs - AbsoluteGateLufs) * BinsPerLu), BinCount - 1);
        counts[bin]++;
        powers[bin] += power;
    }

    /// <summary>The mean power of what passes the absolute gate and a second one, gateLu below the mean of that; 0 if nothing does.</summary>
    public double GatedMeanPower(double gateLu)
    {
        var (count, power) = From(FirstBinAbove(gateLu));
        return count > 0 ? power / count : 0;
    }

    /// <summary>Loudness of the lower and upper percentile (0…1) of what passes the two gates; NaN if nothing does.</summary>
    public (double LowLufs, double HighLufs) Percentiles(double gateLu, double low, double high)
    {
        var first = FirstBinAbove(gateLu);
        var (count, _) = From(first);
        if (count == 0)
            return (double.NaN, double.NaN);
        return (AtRank(first, (long)Math.Round((count - 1) * low)), AtRank(first, (long)Math.Round((count - 1) * high)));
    }

    private int FirstBinAbove(double gateLu)
    {
        var (count, power) = From(0);
        if (count == 0)
            return 0;
        var gateLufs = LoudnessScale.ToLufs(power / count) + gateLu;
        return Math.Clamp((int)Math.Round((gateLufs - AbsoluteGateLufs) * BinsPerLu), 0, BinCount - 1);
    }

    private (long Count, double Power) From(int first)
    {
        var (count, power) = (0L, 0.0);
        for (var bin = first; bin < BinCount; bin++)
        {
            count += counts[bin];
            power += powers[bin];
        }
        return (count, power);
    }

    private double AtRank(int first, long rank)
    {
        for (var bin = first; bin < BinCount; bin++)
        {
            rank -= counts[bin];
            if (rank < 0)
                return LoudnessScale.ToLufs(powers[bin] / counts[bin]);
        }
        return double.NaN;
    }
}
