using System.Numerics;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A place in the reference where the click of a spot may have arrived.</summary>
/// <param name="Lag">Whole samples by which the reference is later than the spot.</param>
/// <param name="Amplitude">Reference over spot, with sign.</param>
/// <param name="Significance">Amplitude over its standard deviation from noise.</param>
public readonly record struct ArrivalCandidate(int Lag, double Amplitude, double Significance);

/// <summary>Finds where a click arrives in the reference, to the sample: the spot's click divided out of it.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// The reference is deconvolved by the spot's click under Wiener's rule, which makes every arrival a short pulse of one known
/// shape. Local extremes that stand out of the noise, and that are not mere side lobes of a stronger one, are candidates. They
/// are returned in order of time, because the first one that is real is the direct sound, however strong the floor answers.
/// </remarks>
public sealed class ArrivalCandidates
{
    /// <summary>Weaker than this share of the strongest arrival (−20 dB), nothing counts as the direct sound.</summary>
    private const double WeakestShare = 0.1;

    /// <summary>Amplitude over noise that chance reaches in fewer than one of a thousand searches.</summary>
    private const double LeastSignificance = 5.5;

    /// <summary>Arrivals a millisecond apart: how dense Wiener's rule takes them to be.</summary>
    private const double ArrivalSpacingSeconds = 0.001;

    private readonly double sampleRateHz;
    private readonly int reach;
    private readonly Transform transform;

    /// <param name="sampleRateHz">Rate of the excerpts.</param>
    /// <param name="longestLagSeconds">The reference may be this much later or earlier than the spot.</param>
    public ArrivalCandidates(double sampleRateHz, double longestLagSeconds = 0.09)
    {
        this.sampleRateHz = sampleRateHz;
        reach = (int)(longestLagSeconds * sampleRateHz);
        transform = new Transform((int)BitOperations.RoundUpToPowerOf2((uint)(2 * reach + 0.03 * sampleRateHz)));
    }

    /// <param name="reference">Excerpt of the reference.</param>
    /// <param name="spot">The click in the spot.</param>
    /// <param name="onset">Sample at which the click begins in the spot.</param>
    /// <param name="quiet">Samples before this are free of the click in both.</param>
    public IReadOnlyList<ArrivalCandidate> Find(ReadOnlySpan<double> reference, SpotClick spot, int onset, int quiet)
    {
        var click = transform.Forward(Click(spot));
        var firstSample = onset - reach;
        var heard = transform.Forward(Cut(reference, firstSample, transform.Size - (int)(0.012 * sampleRateHz)));
        var quietFrom = Math.Max(0, quiet - (int)(0.1 * sampleRateHz));
        var noise = Background.Density(reference[quietFrom..quiet], transform, 512);
        var spotNoise = ResidualDensity(spot);

        var scale = Scale(click, heard, noise);
        var spacing = ArrivalSpacingSeconds * sampleRateHz;
        var gain = new Complex[click.Length];
        var shape = new Complex[click.Length];
        var (shapePeak, variance) = (0.0, 0.0);
        var strongestBin = 0.0;
        foreach (var bin in click)
            strongestBin = Math.Max(strongestBin, Norm(bin));
        for (var k = 0; k < click.Length; k++)
        {
            var regular = spacing * noise[k] / (scale * scale) + 1e-7 * strongestBin;
            gain[k] = Complex.Conjugate(click[k]) / (Norm(click[k]) + regular);
            shape[k] = click[k] * gain[k];
            var weight = k == 0 || k == click.Length - 1 ? 1 : 2;
            shapePeak += weight * shape[k].Real;
            variance += weight * (noise[k] + scale * scale * spotNoise[k]) * Norm(gain[k]);
        }
        shapePeak /= transform.Size;
        var deviation = Math.Sqrt(variance / transform.Size) / shapePeak;
        for (var k = 0; k < click.Length; k++)
        {
            gain[k] *= heard[k] / shapePeak;
            shape[k] /= shapePeak;
        }
        return Select(transform.Inverse(gain), transform.Inverse(shape), deviation, firstSample - onset + Lead);
    }

    private int Lead => (int)(0.002 * sampleRateHz);

    /// <summary>The click in the spot: faded in over its last quiet milliseconds, faded out before the room takes over.</summary>
    private double[] Click(SpotClick spot)
    {
        var click = Cut(spot.Samples, SpotClick.Onset - Lead, (int)(0.012 * sampleRateHz));
        var (fadeIn, fadeOut) = ((int)(0.001 * sampleRateHz), (int)(0.005 * sampleRateHz));
        for (var i = 0; i < fadeIn; i++)
            click[i] *= 0.5 - 0.5 * Math.Cos(Math.PI * i / fadeIn);
        for (var i = 0; i < fadeOut; i++)
            click[^(i + 1)] *= 0.5 - 0.5 * Math.Cos(Math.PI * i / fadeOut);
        return click;
    }

    private double[] ResidualDensity(SpotClick spot)
    {
        var even = new double[transform.Size];
        for (var lag = 0; lag < SpotClick.Size / 8; lag++)
            even[lag] = even[(transform.Size - lag) % transform.Size] = spot.Residual[lag];
        var bins = transform.Forward(even);
        var density = new double[bins.Length];
        for (var k = 0; k < bins.Length; k++)
            density[k] = Math.Max(0, bins[k].Real);
        return density;
    }

    private static double[] Cut(ReadOnlySpan<double> signal, int first, int length)
    {
        var cut = new double[length];
        var skip = Math.Max(0, -first);
        var count = Math.Min(length, signal.Length - first) - skip;
        if (count > 0)
            signal.Slice(first + skip, count).CopyTo(cut.AsSpan(skip));
        return cut;
    }

    /// <summary>Rough size of the strongest arrival: the peak of the whitened matched filter.</summary>
    private double Scale(Complex[] click, Complex[] heard, double[] noise)
    {
        var product = new Complex[click.Length];
        var energy = 0.0;
        var floor = 0.0;
        foreach (var density in noise)
            floor += density;
        floor = Math.Max(1e-30, 1e-3 * floor / noise.Length);
        for (var k = 0; k < click.Length; k++)
        {
            var weight = 1 / (noise[k] + floor);
            product[k] = weight * heard[k] * Complex.Conjugate(click[k]);
            energy += (k == 0 || k == click.Length - 1 ? 1 : 2) * weight * Norm(click[k]);
        }
        energy /= transform.Size;
        var peak = 0.0;
        foreach (var value in transform.Inverse(product))
            peak = Math.Max(peak, Math.Abs(value));
        return Math.Max(1e-9, peak / Math.Max(1e-300, energy));
    }

    private List<ArrivalCandidate> Select(double[] response, double[] shape, double deviation, int firstLag)
    {
        var strongest = 0.0;
        for (var i = 0; i < 2 * reach; i++)
            strongest = Math.Max(strongest, Math.Abs(response[i]));
        var least = Math.Max(LeastSignificance * deviation, WeakestShare * strongest);
        var peaks = new List<int>();
        for (var i = 1; i < 2 * reach; i++)
        {
            var here = Math.Abs(response[i]);
            if (here >= least && here >= Math.Abs(response[i - 1]) && here > Math.Abs(response[i + 1]))
                peaks.Add(i);
        }
        var found = new List<ArrivalCandidate>();
        foreach (var i in peaks)
        {
            var lobes = 0.0;
            foreach (var j in peaks)
            {
                if (Math.Abs(response[j]) <= 1.2 * Math.Abs(response[i]) || Math.Abs(i - j) > 0.003 * sampleRateHz)
                    continue;
                var lobe = 0.0;
                for (var around = -2; around <= 2; around++)
                    lobe = Math.Max(lobe, Math.Abs(shape[(i - j + around + shape.Length) % shape.Length]));
                lobes += lobe * Math.Abs(response[j]);
            }
            if (Math.Abs(response[i]) > 1.5 * lobes)
                found.Add(new ArrivalCandidate(i + firstLag, response[i], Math.Abs(response[i]) / Math.Max(1e-30, deviation)));
        }
        return found;
    }

    private static double Norm(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;
}
