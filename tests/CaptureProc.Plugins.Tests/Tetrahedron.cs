using CaptureProc.Session;

namespace CaptureProc.Plugins.Tests;

/// <summary>The array that sessions of these tests have: cardioids 15 mm from the centre, upright, on channels 1 to 4.</summary>
internal static class Tetrahedron
{
    public static ArrayEntry Main { get; } = new()
    {
        Id = "main", Channels = [1, 2, 3, 4], RadiusMm = 15, Pattern = 0.5,
        Capsules = [.. "FLU FRD BLD BRU".Split(' ').Select(label => CapsuleLabel.TryParse(label, out var capsule) ? capsule : throw new InvalidOperationException(label))],
    };
}
