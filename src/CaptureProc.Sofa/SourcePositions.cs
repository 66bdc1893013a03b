using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Sofa;

/// <summary>Where the loudspeaker stood in each measurement.</summary>
internal sealed class SourcePositions
{
    // Distances that differ by less than this are one sphere: stands are set by hand.
    private const double SameDistanceM = 0.05;

    private readonly Direction[] directions;
    private readonly double[] distancesM;

    private SourcePositions(Direction[] directions, double[] distancesM) => (this.directions, this.distancesM) = (directions, distancesM);

    public Direction At(int measurement) => directions[measurement];

    public static SourcePositions Read(HdfFile file, int measurements)
    {
        var position = file.Numbers("SourcePosition");
        if (position.Dimensions is not [var rows, 3] || rows != measurements)
            throw file.Unusable("has no position of the source for each of its measurements (SourcePosition needs the dimensions M, 3)");
        if (position.Values.Any(value => !double.IsFinite(value)))
            throw file.Unusable("holds a source position that is no number (NaN or infinity)");
        var isSpherical = file.Text("Type", of: "SourcePosition") switch
        {
            "spherical" or null => true,
            "cartesian" => false,
            var type => throw file.Unusable($"gives source positions in coordinates of the type {type}; spherical or cartesian are known"),
        };

        var (directions, distancesM) = (new Direction[measurements], new double[measurements]);
        for (var m = 0; m < measurements; m++)
        {
            var (a, b, c) = (position.Values[3 * m], position.Values[3 * m + 1], position.Values[3 * m + 2]);
            var place = new Vector3D(a, b, c);
            directions[m] = isSpherical ? new Direction(a, b) : Direction.Of(place);
            distancesM[m] = isSpherical ? c : place.Length;
        }
        return new SourcePositions(directions, distancesM);
    }

    /// <summary>The measurements at the distance that has most of them.</summary>
    public IReadOnlyList<int> OnOneSphere()
    {
        var best = distancesM
            .Distinct()
            .Select(distance => (Distance: distance, Count: distancesM.Count(d => Math.Abs(d - distance) < SameDistanceM)))
            .OrderByDescending(sphere => sphere.Count)
            .ThenByDescending(sphere => sphere.Distance)
            .First();
        return [.. Enumerable.Range(0, distancesM.Length).Where(m => Math.Abs(distancesM[m] - best.Distance) < SameDistanceM)];
    }
}
