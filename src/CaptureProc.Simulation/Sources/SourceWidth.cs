using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Sources;

/// <summary>A source that is no point: its direct sound comes from several points at once.</summary>
/// <remarks>
/// Seven points fall about the middle like a bell whose width (two standard deviations each way hold nearly all) is that of
/// the source: hands and boards are strongest in the middle. Common practice, no source.
/// </remarks>
internal static class SourceWidth
{
    private const int Points = 7;

    public static ImageSource[] Spread(ImageSource direct, double widthM, SeededRandom chance)
    {
        var points = new ImageSource[Points];
        var total = 0.0;
        var weights = new double[Points];
        for (var i = 0; i < Points; i++)
            total += weights[i] = chance.Uniform(0.5, 1.5);
        var offsets = new Vector3D[Points];
        var mean = default(Vector3D);
        for (var i = 0; i < Points; i++)
        {
            offsets[i] = widthM / 4 * new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian());
            mean += weights[i] / total * offsets[i];
        }
        // Its place is where its weight is.
        for (var i = 0; i < Points; i++)
            points[i] = (direct with { PositionM = direct.PositionM + offsets[i] - mean }).Times(weights[i] / total);
        return points;
    }
}
