using CaptureProc.Plugins.Link;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Spots;

/// <summary>What hosts show of the spot plug-ins. Ids and ranges live in saved projects: add at the end, change nothing.</summary>
/// <remarks>All kinds share the first entries and the meters; those for a place or a field stand where the kind has them, else −1.</remarks>
internal sealed class SpotParameters
{
    public const int Bypass = 0, Session = 1, Follow = 2, Status = 3, Spot = 4, DelayFrom = 5, DelayByHand = 6, LaterBy = 7, Polarity = 8, Gain = 9;
    public const int DelayInUse = 10, Level = 11, Measured = 12;

    /// <summary>Values of <see cref="Polarity"/>.</summary>
    public const int Normal = 1, Inverted = 2;

    /// <summary>Spots that a list can offer; value 0 is none.</summary>
    public const int SpotSlots = 128;

    /// <summary>Arrays that a list can offer; value 0 is the main array.</summary>
    public const int ArraySlots = 32;

    private const double LatestByHandMs = 1000 * SpotShape.MaxLaterSeconds;
    private const double EarliestMs = -1000 * SpotShape.MaxEarlySeconds;
    private const double LatestMs = 1000 * SpotShape.MaxDelaySeconds;

    private static readonly string[] MeasuredNames = ["No spot", "Measured", "Uncertain", "Not measured", "Not in the session", "Out of range: no delay"];

    public SpotParameters(SpotShape shape)
    {
        var all = new List<Parameter>
        {
            Parameter.Bypass(0),
            LinkParameters.Session(1),
            LinkParameters.Follow(2),
            LinkParameters.Status(3),
            Parameter.NamedByEffect(4, "Spot", SpotSlots),
            Parameter.List(5, "Delay from", ["Session", "By hand"]),
            Parameter.Range(6, "Delay by hand", "ms", EarliestMs, LatestMs - LatestByHandMs, 0, 3),
            Parameter.Range(7, "Later by", "ms", 0, LatestByHandMs, 0, 3),
            Parameter.List(8, "Polarity", ["As measured", "Normal", "Inverted"]),
            Parameter.Range(9, "Gain", "dB", -24, 24, 0, 2),
            Parameter.Meter(10, "Delay in use", "ms", EarliestMs, LatestMs + LatestByHandMs, 3, resting: 0),
            Parameter.Meter(11, "Level", "dBFS", -120, 6, 1),
            Parameter.List(12, "Spot status", MeasuredNames) with { Flags = ParameterFlags.IsReadOnly | ParameterFlags.IsList },
        };
        if (shape.IsPlacing)
        {
            (DirectionFrom, Azimuth, Elevation) = (all.Count, all.Count + 1, all.Count + 2);
            all.Add(Parameter.List(20, "Direction from", ["Session", "By hand"]));
            all.Add(Parameter.Range(21, "Azimuth", "°", -180, 180, 0, 1));
            all.Add(Parameter.Range(22, "Elevation", "°", -90, 90, 0, 1));
        }
        if (shape.HasEncoder)
        {
            Field = all.Count;
            all.Add(Parameter.List(30, "Four channels", ["As they are", "Capsules to B-format"]));
        }
        LineUpWith = all.Count;
        all.Add(Parameter.NamedByEffect(40, "Line up with", ArraySlots));
        Table = new ParameterTable([.. all]);
    }

    public ParameterTable Table { get; }

    public int DirectionFrom { get; } = -1;

    public int Azimuth { get; } = -1;

    public int Elevation { get; } = -1;

    public int Field { get; } = -1;

    /// <summary>The array whose delays play.</summary>
    public int LineUpWith { get; }
}
