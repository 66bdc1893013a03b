using System.Numerics;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>One channel around a click, at the working rate.</summary>
/// <param name="Samples">Without rumble.</param>
/// <param name="Clipped">Samples at which the recording was cut off.</param>
public sealed record ChannelExcerpt(double[] Samples, int[] Clipped);

/// <summary>Where a click lies in the excerpts that are cut around it, and how they are made ready.</summary>
/// <remarks>
/// Thread: one instance a thread. Shape: <see cref="RawLength"/> samples of the recording in, <see cref="Size"/> out.
/// An excerpt begins <see cref="Before"/> samples ahead of the click's first arrival anywhere: that stretch is the background.
/// Rates from 88.2 kHz up are brought to 44.1 or 48 kHz, since a click tells nothing above 20 kHz that it does not tell below.
/// What lies below 60-180 Hz goes: it tells nothing about a click, and in a hall it is most of the noise. Both happen in
/// zero phase and alike in every channel, so no delay moves.
/// </remarks>
public sealed class Excerpts
{
    /// <summary>341 ms at 48 kHz: background, the way through the hall, and the room's answer.</summary>
    public const int Size = 16384;

    /// <summary>The first arrival anywhere stands here, give or take a few milliseconds.</summary>
    public const int Before = 6000;

    /// <summary>Background ends here, well ahead of a first arrival that was placed to the block.</summary>
    public const int Quiet = Before - 240;

    /// <summary>At most this much background is used, so that what was long ago does not speak for now.</summary>
    public const int QuietFrom = Quiet - 4800;

    // Rumble fades in over this range.
    private const double RumbleLowHz = 60;
    private const double RumbleHighHz = 180;

    private readonly Transform raw, working;

    public Excerpts(double sampleRateHz)
    {
        Decimation = sampleRateHz >= 176400 ? 4 : sampleRateHz >= 88200 ? 2 : 1;
        SampleRateHz = sampleRateHz / Decimation;
        working = new Transform(Size);
        raw = Decimation == 1 ? working : new Transform(Size * Decimation);
    }

    /// <summary>Samples of the recording for one of an excerpt.</summary>
    public int Decimation { get; }

    public int RawLength => Size * Decimation;

    /// <summary>The working rate.</summary>
    public double SampleRateHz { get; }

    public ChannelExcerpt Make(ReadOnlySpan<double> recorded)
    {
        var bins = raw.Forward(recorded).AsSpan(0, working.BinCount);
        for (var k = 0; k < bins.Length; k++)
        {
            var rise = (k * SampleRateHz / Size - RumbleLowHz) / (RumbleHighHz - RumbleLowHz);
            bins[k] *= HalfCosine(rise) / Decimation;
            // The top twelfth of the new band fades out, so that nothing rings at its edge.
            if (Decimation > 1)
                bins[k] *= HalfCosine(12.0 * (bins.Length - 1 - k) / bins.Length);
        }
        return new ChannelExcerpt(working.Inverse(bins), FindClipped(recorded, Decimation));
    }

    /// <summary>Out of range, a converter repeats its last value; a sound with noise in it does not reach its maximum twice.</summary>
    private static int[] FindClipped(ReadOnlySpan<double> recorded, int decimation)
    {
        var (top, bottom) = (0.0, 0.0);
        foreach (var sample in recorded)
            (top, bottom) = (Math.Max(top, sample), Math.Min(bottom, sample));
        var clipped = new SortedSet<int>();
        foreach (var limit in (ReadOnlySpan<double>)[top, -bottom])
        {
            var count = 0;
            foreach (var sample in recorded)
                count += IsAt(sample, limit) ? 1 : 0;
            for (var n = 0; n < recorded.Length && count > 1; n++)
                if (IsAt(recorded[n], limit))
                    clipped.Add(n / decimation);
        }
        return [.. clipped];
    }

    private static bool IsAt(double sample, double limit) => limit > 0 && Math.Abs(Math.Abs(sample) - limit) <= 1e-6 * limit;

    private static double HalfCosine(double x) => x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * Math.Cos(Math.PI * x);
}
