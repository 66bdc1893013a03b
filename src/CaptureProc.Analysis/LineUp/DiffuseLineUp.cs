using CaptureProc.Dsp.Arrays;
using MathNet.Numerics.LinearAlgebra;

namespace CaptureProc.Analysis.LineUp;

/// <summary>Gains of an array's capsules from a reverberant surround.</summary>
/// <param name="GainDb">Of every channel over the reference.</param>
/// <param name="UncertaintyDb">Half the interval that holds the true value in 95 % of the cases.</param>
/// <param name="DirectionCount">From how many directions of equal strength the sound seemed to come: few directions, wide intervals.</param>
public sealed record DiffuseResult(IReadOnlyList<double> GainDb, IReadOnlyList<double> UncertaintyDb, double DirectionCount);

/// <summary>The diffuse-field line-up: in sound from all round, all capsules of an array have the same level, so what differs is gain.</summary>
/// <remarks>
/// Thread: [any]. No surround is quite even. How uneven this one was is told by the coherences of the capsules, which gains do not
/// touch (<see cref="DirectionalModel"/>): they give the number of directions, take off what of the level differences they explain,
/// and what they leave unexplained is the uncertainty. Bands share the same surround, so more bands do not make it smaller.
/// </remarks>
public static class DiffuseLineUp
{
    // From where a second of sound holds enough of it, to where the wave is about as long as the array is round.
    private const double FromHz = 180;
    private const double MaxKr = 1.5;
    private const double DbPerNeper = 4.342944819;

    // Real capsules differ in pattern and response and have a body between them, which the model of the coherences does not know: in 30 simulated
    // rooms single intervals held 61 of 90 true values, double ones 87.
    private const double UnlikeCapsules = 2;

    /// <summary>Null where the recording is too short, or no band tells anything.</summary>
    public static DiffuseResult? Estimate(DiffuseStatistics statistics, CapsuleArray array, double speedOfSoundMps, int reference)
    {
        ArgumentNullException.ThrowIfNull(statistics);
        if (statistics.HopCount < 12)
            return null;
        var bands = statistics.Bands;
        var estimates = new List<(Vector<double> Db, Matrix<double> Variance, double PerDirection)>();
        for (var band = 0; band < bands.Count; band++)
        {
            var wavenumber = 2 * Math.PI * bands.CentreHz[band] / speedOfSoundMps;
            if (bands.CentreHz[band] > FromHz && wavenumber * array.RadiusM < MaxKr)
                estimates.Add(EstimateBand(statistics, band, DirectionalModel.Of(array, wavenumber)));
        }
        if (estimates.Count == 0)
            return null;

        var directions = estimates.Count / estimates.Sum(e => e.PerDirection);
        // A handful of directions is not a normal distribution: widened until the intervals hold with five (by simulation).
        var fewness = Math.Sqrt(1 + 8 / directions);
        var n = array.Capsules.Count;
        var (gains, uncertainties) = (new double[n], new double[n]);
        for (var channel = 0; channel < n; channel++)
        {
            var (sum, sigma, weights) = (0.0, 0.0, 0.0);
            foreach (var (db, variance, _) in estimates)
            {
                var own = variance[channel, channel] + variance[reference, reference] - 2 * variance[channel, reference];
                // The bands err together, so the surer ones are trusted more than independent errors would deserve.
                var weight = 1 / (own * own + 1e-12);
                sum += weight * (db[channel] - db[reference]);
                sigma += weight * Math.Sqrt(Math.Max(0, own));
                weights += weight;
            }
            gains[channel] = DbPerNeper * sum / weights;
            // A dozen coherences tell how uneven the surround was: a variance with that many degrees of freedom.
            uncertainties[channel] = UnlikeCapsules * DbPerNeper * Dsp.LineUp.Confidence95.Factor(12) * fewness * sigma / weights;
        }
        return new DiffuseResult(gains, uncertainties, directions);
    }

    private static (Vector<double> Log, Matrix<double> Variance, double PerDirection) EstimateBand(DiffuseStatistics statistics, int band, DirectionalModel model)
    {
        var n = statistics.ChannelCount;
        var powers = Enumerable.Range(0, n).Select(i => statistics.Cross(band, i, i).Real).ToArray();
        var logs = Vector<double>.Build.Dense(n, i => Math.Log(powers[i]));
        logs -= logs.Average();

        var moved = Vector<double>.Build.Dense(2 * model.Coherence.Length);
        var noise = Vector<double>.Build.Dense(moved.Count);
        // Hops overlap by half: K of them are (K + 1)/2 frames' worth.
        var samples = statistics.Bands.BinsOf(band) * (statistics.HopCount + 1) / 2.0;
        var pair = 0;
        for (var i = 0; i < n; i++)
        {
            for (var j = i + 1; j < n; j++, pair++)
            {
                var coherence = statistics.Cross(band, i, j) / Math.Sqrt(powers[i] * powers[j]);
                (moved[pair], moved[model.Coherence.Length + pair]) = ((coherence - model.Coherence[pair]).Real, (coherence - model.Coherence[pair]).Imaginary);
                var own = 1 - coherence.Magnitude * coherence.Magnitude;
                noise[pair] = own * own / (2 * samples);
                noise[model.Coherence.Length + pair] = own / (2 * samples);
            }
        }

        // How uneven: the coherences' own measuring noise taken off, they are as far from the closed form as 1/N directions bring them.
        var perDirection = Math.Max(1e-6, Evenness(moved, model.Coherences, noise));
        var inverse = (perDirection * model.Coherences + Matrix<double>.Build.DiagonalOfDiagonalVector(noise)).PseudoInverse();
        var explains = perDirection * model.LevelsWithCoherences * inverse;
        var variance = perDirection * model.Levels - explains * model.LevelsWithCoherences.Transpose() * perDirection
            + Matrix<double>.Build.DenseIdentity(n) / samples;
        return (logs - explains * moved, variance, perDirection);
    }

    private static double Evenness(Vector<double> moved, Matrix<double> covariance, Vector<double> noise)
    {
        // Directions in which the coherences hardly move at all would only weigh up their measuring noise.
        var eigen = covariance.Evd(Symmetricity.Symmetric);
        var largest = eigen.EigenValues.Real().Maximum();
        var (sum, count) = (0.0, 0);
        for (var k = 0; k < eigen.EigenValues.Count; k++)
        {
            var value = eigen.EigenValues[k].Real;
            if (value < 0.02 * largest)
                continue;
            var axis = eigen.EigenVectors.Column(k);
            var along = axis.DotProduct(moved);
            sum += (along * along - axis.PointwiseMultiply(axis).DotProduct(noise)) / value;
            count++;
        }
        return sum / Math.Max(1, count);
    }
}
