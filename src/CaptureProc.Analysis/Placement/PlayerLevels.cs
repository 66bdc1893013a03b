using System.Numerics;
using MathNet.Numerics.LinearAlgebra;
using Vector = MathNet.Numerics.LinearAlgebra.Vector<double>;

namespace CaptureProc.Analysis.Placement;

/// <summary>A player's direct sound at the array over that in the aligned spot, from the bins in which that player rules.</summary>
/// <remarks>
/// Thread: one at a time. Shape: one complex factor a band, 1 where the slate's gain was right.
/// Every bin counts alike however loud the note in it was: what the room adds to the direct sound hangs on the frequency, and many
/// frequencies average it out where many seconds of one frequency never do.
/// The slate says what to expect: 1. An instrument sends its sound in other directions than two hands, so the factor may be off by
/// <see cref="CommonShare"/> as a whole, by <see cref="TiltShare"/> more with each octave and by <see cref="OwnShare"/> in each
/// band (about 2, 0.7 and 1 dB; common practice, no source). What is measured and what is expected are weighed by their
/// uncertainties: a player who is hardly heard keeps the slate's gain.
/// </remarks>
internal sealed class PlayerLevels
{
    private const double CommonShare = 0.23;
    private const double TiltShare = 0.08;
    private const double OwnShare = 0.12;

    // A room decides anew what it adds to a note about every 2.2/T hertz; bins nearer than that are one observation.
    private const double IndependentHz = 2;

    // Half the variance that a hall as loud as the direct sound puts on one observation through the beam: its power there is a quarter.
    private const double RoomInBeam = 0.125;

    private readonly Complex[] products;
    private readonly double[] powers;
    private readonly double binHz;

    private int Group => Math.Max(1, (int)(IndependentHz / binHz));

    public PlayerLevels(int binCount, double binHz)
    {
        (products, powers) = (new Complex[binCount], new double[binCount]);
        this.binHz = binHz;
    }

    /// <summary>Adds a bin in which this player rules.</summary>
    /// <param name="bin">Which.</param>
    /// <param name="aligned">The spot with the slate's delay and gain.</param>
    /// <param name="beam">(W + 3u·X)/4: of all first-order beams the one that takes in the least of a diffuse field.</param>
    public void Add(int bin, Complex aligned, Complex beam)
    {
        products[bin] += Complex.Conjugate(aligned) * beam;
        powers[bin] += aligned.Real * aligned.Real + aligned.Imaginary * aligned.Imaginary;
    }

    /// <summary>Power and sum of squared powers of the separate notes of a band, in the bins in which this player rules.</summary>
    public (double Sum, double Squares) Notes(OctaveBand band)
    {
        var (first, end) = band.Bins(binHz);
        var (sum, squares) = (0.0, 0.0);
        for (var k = first; k < Math.Min(end, powers.Length); k += Group)
        {
            var note = 0.0;
            for (var i = k; i < Math.Min(end, k + Group); i++)
                note += powers[i];
            sum += note;
            squares += note * note;
        }
        return (sum, squares);
    }

    /// <summary>The factor of each band and the standard deviation of its real part.</summary>
    public (Complex[] Factors, double[] Sigmas) Weigh(IReadOnlyList<OctaveBand> bands)
    {
        var count = bands.Count;
        var (measured, variance) = (new Complex[count], new double[count]);
        for (var b = 0; b < count; b++)
            (measured[b], variance[b]) = Measure(bands[b]);
        var middle = (count - 1) / 2.0;
        var prior = Matrix<double>.Build.Dense(count, count, (i, j) =>
            CommonShare * CommonShare + TiltShare * TiltShare * (i - middle) * (j - middle) + (i == j ? OwnShare * OwnShare : 0));
        var sum = prior + Matrix<double>.Build.DenseOfDiagonalArray(variance);
        var gain = prior * sum.Inverse();
        var re = gain * Vector.Build.Dense(count, b => measured[b].Real - 1);
        var im = gain * Vector.Build.Dense(count, b => measured[b].Imaginary);
        var posterior = prior - gain * prior;
        return ([.. Enumerable.Range(0, count).Select(b => new Complex(1 + re[b], im[b]))],
            [.. Enumerable.Range(0, count).Select(b => Math.Sqrt(Math.Max(0, posterior[b, b])))]);
    }

    /// <summary>Weighted mean and the variance of its real part, from how groups of neighbouring bins scatter.</summary>
    private (Complex Mean, double Variance) Measure(OctaveBand band)
    {
        var (first, end) = band.Bins(binHz);
        end = Math.Min(end, powers.Length);
        var power = 0.0;
        for (var k = first; k < end; k++)
            power += powers[k];
        if (!(power > 0))
            return (Complex.One, 1e6);
        // -20 dB of the mean: bins with nothing in them must not become the judges of the others.
        var floor = 0.01 * power / (end - first);
        var (sum, weight) = (Complex.Zero, 0.0);
        for (var k = first; k < end; k++)
        {
            sum += products[k] / (powers[k] + floor);
            weight += powers[k] / (powers[k] + floor);
        }
        var mean = sum / weight;
        var (square, squaredWeights) = (0.0, 0.0);
        for (var k = first; k < end; k += Group)
        {
            var (rest, own) = (Complex.Zero, 0.0);
            for (var i = k; i < Math.Min(end, k + Group); i++)
            {
                rest += (products[i] - mean * powers[i]) / (powers[i] + floor);
                own += powers[i] / (powers[i] + floor);
            }
            square += rest.Real * rest.Real + rest.Imaginary * rest.Imaginary;
            squaredWeights += own * own;
        }
        // A handful of groups scatter less about their own mean than they are off: then what a room adds to a beam anywhere counts.
        var groups = weight * weight / squaredWeights;
        return (mean, Math.Max(square / (2 * weight * weight), RoomInBeam / groups));
    }
}
