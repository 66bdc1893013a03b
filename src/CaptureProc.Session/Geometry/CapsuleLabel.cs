using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Session;

/// <summary>Capsules of a tetrahedron by their usual names: Front or Back, Left or Right, Up or Down.</summary>
public static class CapsuleLabel
{
    /// <summary>The capsule a label such as FLU names: a corner of the cube, 35.26° above or below the horizon.</summary>
    public static bool TryParse(string label, out CapsuleEntry capsule)
    {
        capsule = new CapsuleEntry();
        if (label is not { Length: 3 })
            return false;
        var name = label.ToUpperInvariant();
        if (name[0] is not ('F' or 'B') || name[1] is not ('L' or 'R') || name[2] is not ('U' or 'D'))
            return false;
        var corner = Direction.Of(new Vector3D(name[0] == 'F' ? 1 : -1, name[1] == 'L' ? 1 : -1, name[2] == 'U' ? 1 : -1));
        // Six decimals of a degree are a millionth of what anybody can mount, and keep the file readable.
        capsule = new CapsuleEntry
        {
            Label = name,
            AzimuthDeg = Math.Round(corner.AzimuthDeg, 6),
            ElevationDeg = Math.Round(corner.ElevationDeg, 6),
        };
        return true;
    }

    /// <summary>Puts capsules in the order in which they sit on the channels.</summary>
    /// <param name="order">Labels, one a channel.</param>
    /// <param name="capsules">The capsules of the array as it was described, in any order.</param>
    public static IReadOnlyList<CapsuleEntry> Reorder(IReadOnlyList<string> order, IReadOnlyList<CapsuleEntry> capsules)
    {
        if (order.Count != capsules.Count || order.Distinct(StringComparer.OrdinalIgnoreCase).Count() != order.Count)
            throw new UnusableInputException("bad-order",
                $"the order {string.Join(",", order)} has to name {capsules.Count} different capsules, one for each channel");
        var known = capsules.ToDictionary(c => c.Label, StringComparer.OrdinalIgnoreCase);
        if (order.All(known.ContainsKey))
            return [.. order.Select(label => known[label])];
        // Labels of another tetrahedron than the preset's: then the labels themselves say where the capsules look.
        return [.. order.Select(label => TryParse(label, out var capsule)
            ? capsule
            : throw new UnusableInputException("bad-order",
                $"'{label}' is no capsule of this array ({string.Join(", ", known.Keys)}) and no name such as FLU (F or B, L or R, U or D)"))];
    }
}
