using CaptureProc.Dsp.Ambisonics;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>The way from decoder gains to what a decoded source sounds like from every direction, and the best way back.</summary>
/// <remarks>
/// Shape: gains are one number a channel (ACN, SN3D), responses one a direction of the set.
/// Way back: least squares with every direction weighted by its share of the sphere, (Y·W·Yᵀ)⁻¹·Y·W, one fixed real matrix.
/// </remarks>
internal sealed class FieldProjection
{
    // An even set has 1. A set that ends at 40 degrees below the horizon, as many do, has 8 at third order; by 100 the part that
    // nobody measured would be invented with gains that have nothing to do with a head.
    private const double MaxCondition = 100;

    private readonly double[] harmonics;
    private readonly double[] projector;
    private readonly int directions;

    public FieldProjection(HeadSpectra spectra, int order)
    {
        Channels = SphericalHarmonics.ChannelCount(order);
        directions = spectra.Directions.Length;
        harmonics = new double[Channels * directions];
        projector = new double[Channels * directions];
        Span<double> values = stackalloc double[Channels];
        for (var i = 0; i < directions; i++)
        {
            SphericalHarmonics.Evaluate(spectra.Directions[i], values);
            for (var channel = 0; channel < Channels; channel++)
                harmonics[channel * directions + i] = values[channel];
        }
        FillProjector(spectra, order);
    }

    public int Channels { get; }

    /// <summary>response = Yᵀ · gains.</summary>
    public void Decode(ReadOnlySpan<double> gains, Span<double> response)
    {
        response.Clear();
        for (var channel = 0; channel < Channels; channel++)
            Rows.AddScaled(response, harmonics.AsSpan(channel * directions, directions), gains[channel]);
    }

    /// <summary>The gains whose response is closest to the one given.</summary>
    public void Fit(ReadOnlySpan<double> response, Span<double> gains)
    {
        for (var channel = 0; channel < Channels; channel++)
            gains[channel] = Rows.Dot(projector.AsSpan(channel * directions, directions), response);
    }

    private void FillProjector(HeadSpectra spectra, int order)
    {
        var gram = new double[Channels * Channels];
        for (var i = 0; i < directions; i++)
            for (var a = 0; a < Channels; a++)
                for (var b = 0; b < Channels; b++)
                    gram[a * Channels + b] += spectra.Shares[i] * harmonics[a * directions + i] * harmonics[b * directions + i];

        if (!(Condition(gram) <= MaxCondition))
            throw new InvalidDataException(
                $"The {directions} directions of the set cannot carry order {order}: up to {spectra.LargestGapDeg:0} degrees of the sphere lie around a point without any. Use a set that was measured all round, above and below.");

        SymmetricSolver.TryFactor(gram, Channels);
        var column = new double[Channels];
        for (var i = 0; i < directions; i++)
        {
            for (var channel = 0; channel < Channels; channel++)
                column[channel] = spectra.Shares[i] * harmonics[channel * directions + i];
            SymmetricSolver.Solve(gram, Channels, column);
            for (var channel = 0; channel < Channels; channel++)
                projector[channel * directions + i] = column[channel];
        }
    }

    // In N3D scale, in which an even cover of the sphere gives the unit matrix.
    private double Condition(ReadOnlySpan<double> gram)
    {
        var scaled = gram.ToArray();
        for (var a = 0; a < Channels; a++)
            for (var b = 0; b < Channels; b++)
                scaled[a * Channels + b] *= SphericalHarmonics.N3DOverSN3D(a) * SphericalHarmonics.N3DOverSN3D(b);
        JacobiEigenvalues.Diagonalise(scaled, Channels);
        double smallest = double.MaxValue, largest = 0;
        for (var a = 0; a < Channels; a++)
        {
            smallest = Math.Min(smallest, scaled[a * Channels + a]);
            largest = Math.Max(largest, scaled[a * Channels + a]);
        }
        return smallest > 0 ? largest / smallest : double.PositiveInfinity;
    }
}
