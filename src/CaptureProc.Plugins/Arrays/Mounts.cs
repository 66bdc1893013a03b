using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The ways an array is hung or laid that a list parameter offers.</summary>
/// <remarks>The place in the list is stored in projects: add at the end only.</remarks>
internal static class Mounts
{
    private static readonly (string Name, double YawDeg, double PitchDeg, double RollDeg)[] All =
    [
        ("Upright", 0, 0, 0),
        ("Hanging", 0, 0, 180),
        ("Lying, top to the front", 0, -90, 0),
        ("Lying, top to the back", 0, 90, 0),
        ("Lying, top to the left", 0, 0, -90),
        ("Lying, top to the right", 0, 0, 90),
    ];

    public static IReadOnlyList<string> Names { get; } = [.. All.Select(m => m.Name)];

    public static Rotation3D Rotation(int index) =>
        Rotation3D.FromYawPitchRollDeg(All[index].YawDeg, All[index].PitchDeg, All[index].RollDeg);

    /// <summary>The place of a mount, or −1.</summary>
    public static int IndexOf(double yawDeg, double pitchDeg, double rollDeg)
    {
        for (var i = 0; i < All.Length; i++)
            if ((All[i].YawDeg, All[i].PitchDeg, All[i].RollDeg) == (yawDeg, pitchDeg, rollDeg))
                return i;
        return -1;
    }
}
