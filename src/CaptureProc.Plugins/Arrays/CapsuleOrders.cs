using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The capsule orders that a list parameter offers: both tetrahedra that fit a cube, in all 24 orders each.</summary>
/// <remarks>The place in the list is stored in projects: never reorder it.</remarks>
internal static class CapsuleOrders
{
    private static readonly string[][] Corners = [["FLU", "FRD", "BLD", "BRU"], ["FRU", "FLD", "BRD", "BLU"]];

    public static IReadOnlyList<string> Names { get; } = [.. Orders().Select(o => string.Join(' ', o))];

    /// <summary>Directions of the capsules on channels 1 to 4.</summary>
    public static Direction[] Directions(int index)
    {
        var labels = Names[index].Split(' ');
        var directions = new Direction[labels.Length];
        for (var i = 0; i < labels.Length; i++)
        {
            if (!CapsuleLabel.TryParse(labels[i], out var capsule))
                throw new InvalidOperationException($"'{labels[i]}' is no capsule label.");
            directions[i] = new Direction(capsule.AzimuthDeg, capsule.ElevationDeg);
        }
        return directions;
    }

    /// <summary>The place of an order of labels, or −1.</summary>
    public static int IndexOf(IEnumerable<string> labels)
    {
        var name = string.Join(' ', labels).ToUpperInvariant();
        for (var i = 0; i < Names.Count; i++)
            if (Names[i] == name)
                return i;
        return -1;
    }

    private static IEnumerable<string[]> Orders()
    {
        foreach (var corners in Corners)
            for (var a = 0; a < 4; a++)
                for (var b = 0; b < 4; b++)
                    for (var c = 0; c < 4; c++)
                        if (a != b && a != c && b != c)
                            yield return [corners[a], corners[b], corners[c], corners[6 - a - b - c]];
    }
}
