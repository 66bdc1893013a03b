using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Dsp.Design;

/// <summary>Tells whether four capsules can resolve a first-order field at all.</summary>
public static class ArrayResolution
{
    // A regular tetrahedron has 1. At 8, an error of 0.1 dB in one capsule already costs about 1 dB of the worst component.
    private const double MaxGeometryCondition = 8;

    // Of the matrix with the pattern in it: √3·α/(1−α) for a tetrahedron, so this admits α from about 0.06 to 0.91.
    private const double MaxPatternCondition = 18;

    /// <summary>The reason why the array cannot be used, in one sentence with the way out; null where it can.</summary>
    /// <remarks>Thread: [main].</remarks>
    public static string? FindProblem(CapsuleArray array) => FindProblem(array, out _);

    /// <summary>As above, with the kind of fault.</summary>
    public static string? FindProblem(CapsuleArray array, out ArrayFault fault)
    {
        fault = ArrayFault.CapsuleCount;
        if (array.Capsules.Count != 4)
            return $"The array has {array.Capsules.Count} capsules; four are needed.";
        fault = ArrayFault.Radius;
        if (!(array.RadiusM is > 0 and <= 0.2))
            return $"The radius is {array.RadiusM * 1000:0.###} mm; give one above 0 and up to 200 mm.";
        fault = ArrayFault.Pattern;
        if (!(array.Pattern is >= 0 and <= 1))
            return $"The pattern is {array.Pattern:0.###}; give a number from 0 (figure-eight) over 0.5 (cardioid) to 1 (omni).";
        fault = ArrayFault.Directions;
        foreach (var d in array.Capsules)
            if (!double.IsFinite(d.AzimuthDeg) || !double.IsFinite(d.ElevationDeg))
                return "A capsule's direction is not a finite number.";

        var look = array.LookDirections();
        for (var i = 0; i < 4; i++)
            for (var j = 0; j < i; j++)
                if (Geometry.Direction.AngleBetweenDeg(Geometry.Direction.Of(look[i]), Geometry.Direction.Of(look[j])) < 1)
                    return $"Capsules {j + 1} and {i + 1} look in the same direction; four different ones are needed to tell height, width and depth apart.";

        fault = ArrayFault.Spread;
        var geometry = ConditionNumber(array, pressure: 1, gradient: Math.Sqrt(3));
        if (geometry > 1e6)
            return "The tips of the four capsule directions lie in one plane, so one direction of the field is missing; turn one capsule out of it.";
        if (geometry > MaxGeometryCondition)
            return $"The four directions resolve the field badly (condition number {geometry:0.#}, a regular tetrahedron has 1, the limit is {MaxGeometryCondition:0}); spread them more evenly.";

        fault = ArrayFault.Pattern;
        var pattern = ConditionNumber(array, pressure: array.Pattern, gradient: 1 - array.Pattern);
        if (pattern > MaxPatternCondition)
        {
            return array.Pattern < 0.5
                ? $"With a pattern of {array.Pattern:0.###} the capsules carry too little pressure to make W; the usable range is about 0.06 to 0.9."
                : $"With a pattern of {array.Pattern:0.###} the capsules carry too little direction to make X, Y and Z; the usable range is about 0.06 to 0.9.";
        }
        fault = ArrayFault.None;
        return null;
    }

    // Ratio of the largest to the smallest singular value of the rows [pressure, gradient·u]: what the capsules make of the
    // four components of the field where the array is small against the wavelength. Pressure 1 with gradient √3 leaves the
    // pattern out, since a regular tetrahedron then reads 1.
    private static double ConditionNumber(CapsuleArray array, double pressure, double gradient)
    {
        Span<double> gram = stackalloc double[16];
        Span<double> row = stackalloc double[4];
        gram.Clear();
        foreach (var u in array.LookDirections())
        {
            (row[0], row[1], row[2], row[3]) = (pressure, gradient * u.Y, gradient * u.Z, gradient * u.X);
            for (var i = 0; i < 4; i++)
                for (var j = 0; j < 4; j++)
                    gram[i * 4 + j] += row[i] * row[j];
        }
        JacobiEigenvalues.Diagonalise(gram, 4);
        double smallest = double.MaxValue, largest = 0;
        for (var i = 0; i < 4; i++)
        {
            smallest = Math.Min(smallest, Math.Max(0, gram[i * 5]));
            largest = Math.Max(largest, gram[i * 5]);
        }
        return smallest > 0 ? Math.Sqrt(largest / smallest) : double.PositiveInfinity;
    }
}
