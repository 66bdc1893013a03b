using System.Numerics;
using MathNet.Numerics.LinearAlgebra;
using Vector = MathNet.Numerics.LinearAlgebra.Vector<double>;

namespace CaptureProc.Analysis.Placement;

/// <summary>A player's direct sound at the array over that in the aligned spot, from the bins in which that player rules.</summary>
/// <remarks>
/// Thread: one at a time. Shape: one complex factor a cell (a third of an octave), 1 where the slate's gain was right and the microphones are alike.
/// Every bin counts alike however loud the note in it was: what the room adds to the direct sound hangs on the frequency, and many
/// frequencies average it out where many seconds of one frequency never do.
/// The slate says what to expect: 1. An instrument sends its sound in other directions than two hands, so the factor may be off by
/// <see cref="CommonShare"/> as a whole, by <see cref="TiltShare"/> more with each octave and by <see cref="OwnShare"/> here and there
/// (about 2.5, 0.7 and 1.5 dB; common practice, no source); and microphones differ in phase: by <see cref="TurnShare"/> where one of them has a
/// presence rise, and by more towards its low cut, <see cref="LowCutShare"/> at 180 Hz and less by as much as the frequency is higher. All that
/// is alike at neighbouring frequencies. What is measured and what is expected are weighed by their uncertainties: a player who is hardly
/// heard keeps the slate's gain.
/// </remarks>
internal sealed class PlayerLevels
{
    private const double CommonShare = 0.3;
    private const double TiltShare = 0.08;
    private const double OwnShare = 0.18;
    private const double TurnShare = 0.15;
    private const double LowCutShare = 0.6;
    private const double LowCutHz = 180;

    // Over this, in octaves, a microphone's response forgets what it was.
    private const double AlikeOctaves = 1;

    // A room decides anew what it adds to a note about every 2.2/T hertz; bins nearer than that are one observation.
    private const double IndependentHz = 2;

    // Half the variance that a hall as loud as the direct sound puts on one observation through the beam: its power there is a quarter.
    private const double RoomInBeam = 0.125;

    private readonly Complex[] withPressure, withVelocity, products;
    private readonly double[] powers;
    private readonly double binHz;

    private int Group => Math.Max(1, (int)(IndependentHz / binHz));

    public PlayerLevels(int binCount, double binHz)
    {
        (withPressure, withVelocity, products, powers) = (new Complex[binCount], new Complex[binCount], new Complex[binCount], new double[binCount]);
        this.binHz = binHz;
    }

    /// <summary>Adds a bin in which this player rules.</summary>
    /// <param name="bin">Which.</param>
    /// <param name="aligned">The spot with the slate's delay and gain.</param>
    /// <param name="pressure">W.</param>
    /// <param name="velocity">u·X, towards the player.</param>
    public void Add(int bin, Complex aligned, Complex pressure, Complex velocity)
    {
        withPressure[bin] += Complex.Conjugate(aligned) * pressure;
        withVelocity[bin] += Complex.Conjugate(aligned) * velocity;
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

    /// <summary>The factor of each cell and the covariance of what is left unknown of their real parts.</summary>
    /// <param name="cells">Of all bands.</param>
    /// <param name="bands">The bands.</param>
    /// <param name="velocityFactors">Of each band; see <see cref="VelocityLevel"/>.</param>
    public (Complex[] Factors, Matrix<double> Covariance) Weigh(IReadOnlyList<LevelCell> cells, IReadOnlyList<OctaveBand> bands, IReadOnlyList<double> velocityFactors)
    {
        var count = cells.Count;
        // (W + 3u·X)/4: of all first-order beams the one that takes in the least of a diffuse field.
        foreach (var cell in cells)
            for (var (k, end) = cell.Bins(binHz); k < Math.Min(end, products.Length); k++)
                products[k] = 0.25 * (withPressure[k] + 3 / velocityFactors[cell.Band] * withVelocity[k]);
        var floors = bands.Select(Floor).ToArray();
        var (measured, variance) = (new Complex[count], new double[count]);
        for (var c = 0; c < count; c++)
            (measured[c], variance[c]) = Measure(cells[c], floors[cells[c].Band]);
        var octave = cells.Select(c => Math.Log2(c.CentreHz / cells[0].CentreHz)).ToArray();
        var low = cells.Select(c => LowCutHz / c.CentreHz).ToArray();
        var middle = octave.Average();
        Matrix<double> Prior(double common, double tilt, double own, Func<int, double> cut) => Matrix<double>.Build.Dense(count, count, (i, j) =>
            common * common + tilt * tilt * (octave[i] - middle) * (octave[j] - middle) + cut(i) * cut(j)
            + own * own * Math.Exp(-Math.Abs(octave[i] - octave[j]) / AlikeOctaves));
        // A turn by φ takes φ²/2 off the real part: half the share, falling twice as fast.
        var (re, covariance) = Weigh(Prior(CommonShare, TiltShare, OwnShare, i => LowCutShare / 2 * low[i] * low[i]), measured.Select(m => m.Real - 1), variance);
        var (im, _) = Weigh(Prior(TurnShare, TiltShare, TurnShare, i => LowCutShare * low[i]), measured.Select(m => m.Imaginary), variance);
        return ([.. Enumerable.Range(0, count).Select(c => new Complex(1 + re[c], im[c]))], covariance);
    }

    private static (Vector Mean, Matrix<double> Covariance) Weigh(Matrix<double> prior, IEnumerable<double> measured, double[] variance)
    {
        var gain = prior * (prior + Matrix<double>.Build.DenseOfDiagonalArray(variance)).Inverse();
        return (gain * Vector.Build.DenseOfEnumerable(measured), prior - gain * prior);
    }

    /// <summary>-20 dB of the mean of a band: bins with nothing in them must not become the judges of the others.</summary>
    private double Floor(OctaveBand band)
    {
        var (first, end) = band.Bins(binHz);
        var power = 0.0;
        for (var k = first; k < Math.Min(end, powers.Length); k++)
            power += powers[k];
        return 0.01 * power / (end - first);
    }

    /// <summary>Weighted mean and the variance of its real part, from how groups of neighbouring bins scatter.</summary>
    private (Complex Mean, double Variance) Measure(LevelCell cell, double floor)
    {
        var (first, end) = cell.Bins(binHz);
        end = Math.Min(end, powers.Length);
        var power = 0.0;
        for (var k = first; k < end; k++)
            power += powers[k];
        if (!(power > 0))
            return (Complex.One, 1e6);
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
