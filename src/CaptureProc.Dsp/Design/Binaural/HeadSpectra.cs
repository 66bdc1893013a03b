using System.Numerics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>The measured responses as functions of frequency, with the share of the sphere that each direction stands for.</summary>
/// <remarks>
/// Thread: [main]. Shape: for every bin and ear one run over the directions, real and imaginary parts apart.
/// Time: the mean arrival of all responses is taken out, so that phases turn slowly from bin to bin.
/// </remarks>
internal sealed class HeadSpectra
{
    // What a head and a torso do is over in 10 ms; twice that resolves the lowest octaves to 50 Hz.
    private const double TransformSeconds = 0.02;

    // A third-order decoder has 16 unknowns an ear; beyond some hundred directions more of them only cost time.
    private const int MaxDirections = 1000;

    private readonly double[] re;
    private readonly double[] im;

    public HeadSpectra(HeadResponses head)
    {
        SampleRateHz = head.SampleRateHz;
        FftSize = (int)BitOperations.RoundUpToPowerOf2((uint)Math.Ceiling(TransformSeconds * head.SampleRateHz));
        var chosen = ChooseDirections(head);
        Directions = new Vector3D[chosen.Length];
        for (var i = 0; i < chosen.Length; i++)
            Directions[i] = head.Directions[chosen[i]].ToUnitVector();
        Shares = new double[chosen.Length];
        LargestGapDeg = SphereCover.FillShares(Directions, Shares);
        re = new double[BinCount * HeadResponses.Ears * chosen.Length];
        im = new double[re.Length];
        Transform(head, chosen);
        Mirror = MirrorImages.Find(head, chosen);
        if (Mirror is { } mirror)
            MirrorImages.MakeEven(mirror, Shares);
    }

    public double SampleRateHz { get; }

    public int FftSize { get; }

    public int BinCount => FftSize / 2 + 1;

    public double BinHz => SampleRateHz / FftSize;

    public Vector3D[] Directions { get; }

    /// <summary>Parts of the sphere, summing up to 1.</summary>
    public double[] Shares { get; }

    public double LargestGapDeg { get; }

    /// <summary>For each direction its mirror image in the median plane, where the set is left-right symmetric; null where not.</summary>
    public int[]? Mirror { get; }

    public Span<double> Re(int bin, int ear) => re.AsSpan((bin * HeadResponses.Ears + ear) * Directions.Length, Directions.Length);

    public Span<double> Im(int bin, int ear) => im.AsSpan((bin * HeadResponses.Ears + ear) * Directions.Length, Directions.Length);

    /// <summary>Multiplies all directions of a bin and ear by one factor.</summary>
    public void Scale(int bin, int ear, Complex factor)
    {
        var x = Re(bin, ear);
        var y = Im(bin, ear);
        for (var i = 0; i < x.Length; i++)
            (x[i], y[i]) = (x[i] * factor.Real - y[i] * factor.Imaginary, x[i] * factor.Imaginary + y[i] * factor.Real);
    }

    /// <summary>What both ears hear in a diffuse field: every direction with its share, all incoherent.</summary>
    public EarCovariance DiffuseCovariance(int bin)
    {
        double left = 0, right = 0, crossRe = 0, crossIm = 0;
        var lr = Re(bin, 0);
        var li = Im(bin, 0);
        var rr = Re(bin, 1);
        var ri = Im(bin, 1);
        for (var i = 0; i < Shares.Length; i++)
        {
            left += Shares[i] * (lr[i] * lr[i] + li[i] * li[i]);
            right += Shares[i] * (rr[i] * rr[i] + ri[i] * ri[i]);
            crossRe += Shares[i] * (lr[i] * rr[i] + li[i] * ri[i]);
            crossIm += Shares[i] * (li[i] * rr[i] - lr[i] * ri[i]);
        }
        return new EarCovariance(left, right, new Complex(crossRe, crossIm));
    }

    private static int[] ChooseDirections(HeadResponses head)
    {
        var all = new Vector3D[head.Directions.Count];
        for (var i = 0; i < all.Length; i++)
            all[i] = head.Directions[i].ToUnitVector();
        var kept = new bool[all.Length];
        if (all.Length <= MaxDirections)
        {
            Array.Fill(kept, true);
        }
        else
        {
            for (var point = 0; point < MaxDirections; point++)
                kept[SphereCover.Nearest(all, SphereCover.SpiralPoint(point, MaxDirections))] = true;
        }
        var chosen = new List<int>();
        for (var i = 0; i < kept.Length; i++)
            if (kept[i])
                chosen.Add(i);
        return chosen.ToArray();
    }

    private void Transform(HeadResponses head, int[] chosen)
    {
        var centre = CentreOfEnergy(head, chosen);
        // A response longer than the transform is cut where the head is long over, and faded so that the cut does not click.
        var length = Math.Min(head.TapCount, FftSize);
        var fade = head.TapCount > FftSize ? FftSize / 8 : 0;
        var fft = new RealFft<double>(FftSize);
        var (signal, x, y) = (new double[FftSize], new double[BinCount], new double[BinCount]);
        for (var i = 0; i < chosen.Length; i++)
        {
            for (var ear = 0; ear < HeadResponses.Ears; ear++)
            {
                var taps = head.Taps(chosen[i], ear);
                for (var n = 0; n < length; n++)
                    signal[n] = taps[n] * (n < length - fade ? 1 : 0.5 + 0.5 * Math.Cos(Math.PI * (n - length + fade + 1) / (fade + 1)));
                fft.Forward(signal, x, y);
                var turn = 2 * Math.PI * (centre - head.DelaySamples(chosen[i], ear)) / FftSize;
                for (var bin = 0; bin < BinCount; bin++)
                {
                    var (sin, cos) = Math.SinCos(turn * bin);
                    (Re(bin, ear)[i], Im(bin, ear)[i]) = (x[bin] * cos - y[bin] * sin, x[bin] * sin + y[bin] * cos);
                }
            }
        }
    }

    private static double CentreOfEnergy(HeadResponses head, int[] chosen)
    {
        double energy = 0, moment = 0;
        foreach (var direction in chosen)
        {
            for (var ear = 0; ear < HeadResponses.Ears; ear++)
            {
                var taps = head.Taps(direction, ear);
                for (var n = 0; n < taps.Length; n++)
                {
                    var power = (double)taps[n] * taps[n];
                    energy += power;
                    moment += power * (n + head.DelaySamples(direction, ear));
                }
            }
        }
        return energy > 0 ? moment / energy : throw new InvalidDataException("The responses are silent.");
    }
}
