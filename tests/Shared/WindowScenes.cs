using CaptureProc.Dsp.Geometry;
using CaptureProc.Plugins;

namespace CaptureProc.Testing;

/// <summary>The moments of the plug-ins' windows that the handbook shows and that the golden pictures hold.</summary>
internal static class WindowScenes
{
    public static IReadOnlyList<string> Names { get; } =
    [
        "array", "array-high-contrast", "array-small", "array-by-hand", "array-live", "spot", "spot-4", "spot-small", "place", "place-small", "listen", "listen-small",
        "listen-3", "listen-high-contrast",
    ];

    /// <summary>Twice the size: too large to keep, made to be looked at.</summary>
    public static IReadOnlyList<string> Large { get; } = ["array-large", "place-large", "listen-large"];

    /// <summary>The studio at that moment; the caller disposes of it.</summary>
    public static WindowStudio At(string name) => name switch
    {
        "array" => Array(false, 1),
        "array-high-contrast" => Array(true, 1),
        "array-small" => Array(false, 0.75),
        "array-large" => Array(false, 2),
        "array-by-hand" => ArrayByHand(),
        "array-live" => ArrayLive(),
        "spot" => Spot(1),
        "spot-small" => Spot(0.75),
        "spot-4" => Spot4(),
        "place" => Place(1),
        "place-small" => Place(0.75),
        "place-large" => Place(2),
        "listen" => Listen(false, 1),
        "listen-high-contrast" => Listen(true, 1),
        "listen-small" => Listen(false, 0.75),
        "listen-large" => Listen(false, 2),
        "listen-3" => Listen3(),
        _ => throw new ArgumentOutOfRangeException(nameof(name), name, "There is no such picture."),
    };

    private static WindowStudio Array(bool hasHighContrast, double size)
    {
        var studio = new WindowStudio(Bundle.Array, hasHighContrast, size);
        studio.Set("Session", "evening");
        studio.WaitFor("Session status", "In step");
        studio.Set("Line-up", "On");
        studio.Run(14, (rows, _) => studio.PlayNoise(rows, 0, -0.03, 0.05, -0.31));
        studio.WaitFor("Line-up state", "Out of tolerance");
        studio.Set("Line-up", "Off");
        studio.Set("Trim 2", "0.25");
        studio.Set("Turn: yaw", "20");
        studio.Run(2.5, (rows, at) => studio.PlayTetrahedron(
            rows, at, (new Direction(32, 5), -12), (new Direction(-25, 10), -15), (new Direction(-58, -10), -20), (new Direction(150, 35), -32)));
        return studio;
    }

    private static WindowStudio ArrayByHand()
    {
        var studio = new WindowStudio(Bundle.Array);
        studio.Set("Session", "evening");
        studio.WaitFor("Session status", "In step");
        studio.Set("Array from", "By hand");
        studio.Set("Radius", "12");
        studio.Set("Mount", "Hanging");
        studio.Set("Polarity 3", "Inverted");
        studio.Run(1, (rows, at) => studio.PlayTetrahedron(rows, at, (new Direction(0, 0), 6)));
        return studio;
    }

    private static WindowStudio ArrayLive()
    {
        var studio = new WindowStudio(Bundle.ArrayLive);
        studio.Run(1);
        return studio;
    }

    private static WindowStudio Spot4()
    {
        var studio = new WindowStudio(Bundle.Spot4);
        studio.Set("Session", "evening");
        studio.WaitFor("Session status", "In step");
        studio.Run(1, (rows, at) => studio.PlayTetrahedron(rows, at, (new Direction(0, 0), -6)));
        return studio;
    }

    private static WindowStudio Listen3()
    {
        var studio = new WindowStudio(Bundle.Listen3);
        studio.Run(1);
        return studio;
    }

    private static WindowStudio Spot(double size)
    {
        var studio = new WindowStudio(Bundle.Spot, size: size);
        studio.Set("Session", "evening");
        studio.WaitFor("Session status", "In step");
        studio.Set("Spot", "harp");
        studio.WaitFor("Spot status", "Measured");
        studio.Run(1.5, (rows, _) => studio.PlayNoise(rows, -3));
        return studio;
    }

    private static WindowStudio Place(double size)
    {
        var studio = new WindowStudio(Bundle.Place3, size: size);
        studio.Set("Session", "evening");
        studio.WaitFor("Session status", "In step");
        studio.Set("Spot", "oboe");
        studio.WaitFor("Spot status", "Uncertain");
        studio.Set("Direction from", "By hand");
        studio.Set("Azimuth", "12");
        studio.Set("Later by", "3");
        studio.Run(1.5, (rows, _) => studio.PlayNoise(rows, -8));
        return studio;
    }

    private static WindowStudio Listen(bool hasHighContrast, double size)
    {
        var studio = new WindowStudio(Bundle.Listen1, hasHighContrast, size);
        studio.Set("Listener: yaw", "25");
        studio.Set("Listener: pitch", "-10");
        studio.Set("Listen as", "Pair");
        studio.Set("Pair: angle", "110");
        studio.Run(5, (rows, at) => studio.PlayTetrahedron(rows, at, (new Direction(32, 5), -3), (new Direction(-25, 10), -6)));
        return studio;
    }
}
