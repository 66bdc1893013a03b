using MathNet.Numerics.LinearAlgebra;
using Vector = MathNet.Numerics.LinearAlgebra.Vector<double>;

namespace CaptureProc.Analysis.Placement;

/// <summary>How loud an array hears the three velocities against what it should, beside pressure.</summary>
/// <remarks>
/// Thread: [any]. A body between the capsules shades the velocity by up to a third and leaves the pressure; what is computed from both then
/// takes direct sound for hall. The field itself tells: in a plane wave as in a diffuse field the three velocities carry together what
/// the pressure carries. With every bin divided by W² + 3(X² + Y² + Z²), in which a diffuse field is white, either share is 1/4 in both, so the
/// ratio of the means is the square of the factor; found by fixed point, as the divisor holds it too. Expected is 1, give or take
/// <see cref="CommonShare"/> in all bands together and <see cref="OwnShare"/> in each (common practice, no source).
/// </remarks>
/// <param name="Factors">Velocity as heard over velocity as it is, a band after the other.</param>
/// <param name="Sigmas">Their standard deviations.</param>
internal sealed record VelocityLevel(IReadOnlyList<double> Factors, IReadOnlyList<double> Sigmas)
{
    private const double CommonShare = 0.15;
    private const double OwnShare = 0.07;
    private const int Rounds = 8;

    // -20 dB of the mean of the band: between the partials capsules speak and not the room.
    private const double FloorShare = 0.01;

    // A room decides anew every 2.2/T hertz, as in PlayerLevels.
    private const double IndependentHz = 2;

    public static VelocityLevel Of(FieldMoments[] moments, IReadOnlyList<OctaveBand> bands, double binHz)
    {
        var (measured, variance) = (new double[bands.Count], new double[bands.Count]);
        for (var b = 0; b < bands.Count; b++)
        {
            var (first, end) = bands[b].Bins(binHz);
            (measured[b], variance[b]) = Measure(moments.AsSpan(first, Math.Min(end, moments.Length) - first), Math.Max(1, IndependentHz / binHz));
        }
        var prior = Matrix<double>.Build.Dense(bands.Count, bands.Count, (i, j) => CommonShare * CommonShare + (i == j ? OwnShare * OwnShare : 0));
        var gain = prior * (prior + Matrix<double>.Build.DenseOfDiagonalArray(variance)).Inverse();
        var factors = gain * Vector.Build.Dense(bands.Count, b => measured[b] - 1);
        var left = prior - gain * prior;
        return new VelocityLevel([.. factors.Select(f => Math.Max(0.3, 1 + f))], [.. Enumerable.Range(0, bands.Count).Select(b => Math.Sqrt(Math.Max(0, left[b, b])))]);
    }

    private static (double Factor, double Variance) Measure(ReadOnlySpan<FieldMoments> bins, double binsPerSample)
    {
        var mean = 0.0;
        foreach (var bin in bins)
            mean += bin.White / Math.Max(1, bins.Length);
        var (square, count) = (1.0, 0);
        for (var round = 0; round < Rounds; round++)
        {
            var (pressure, velocity) = (0.0, 0.0);
            count = 0;
            foreach (var bin in bins)
            {
                if (!(bin.White > FloorShare * mean))
                    continue;
                var white = bin.Pressure + 3 * bin.Velocity / square;
                (pressure, velocity, count) = (pressure + bin.Pressure / white, velocity + bin.Velocity / square / white, count + 1);
            }
            if (!(pressure > 0 && velocity > 0))
                return (1, 1e6);
            square *= velocity / pressure;
        }
        // A share of 1/4 with a standard deviation of 0.19 in a diffuse field, and little less with direct sound: of the ratio about 1, of its root a half.
        return (Math.Sqrt(square), 0.25 * binsPerSample / Math.Max(1, count));
    }
}
