using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Listening;

/// <summary>What hosts show of the listen plug-ins. Ids, order and ranges live in saved projects: add at the end, change nothing.</summary>
internal static class ListenParameters
{
    public const int Bypass = 0, ListenAs = 1, Head = 2, HeadStatus = 3, Yaw = 4, Pitch = 5, Roll = 6;
    public const int Angle = 7, Pattern = 8, AimAzimuth = 9, AimElevation = 10, Gain = 11, LevelLeft = 12, LevelRight = 13;

    /// <summary>Only where four channels come in, which may be those of an array.</summary>
    public const int LeftCapsule = 14, RightCapsule = 15;

    /// <summary>Values of <see cref="ListenAs"/>.</summary>
    public const int Binaural = 0, Pair = 1, Capsules = 2;

    /// <summary>Value 0 is the head that comes with the plug-in, 1… are the published ones by name.</summary>
    public const int HeadSlots = 32;

    private static readonly string[] HeadStatusNames = ["In use", "Kept from the project", "Not found: the usual one"];

    private static readonly string[] CapsuleNames = ["Channel 1", "Channel 2", "Channel 3", "Channel 4"];

    /// <param name="order">Of the field that comes in.</param>
    public static ParameterTable Table(int order)
    {
        var all = new List<Parameter>
        {
            Parameter.Bypass(0),
            Parameter.List(1, "Listen as", order == 1 ? ["Binaural", "Pair", "Capsules"] : ["Binaural", "Pair"]),
            Parameter.NamedByEffect(2, "Head", HeadSlots),
            Parameter.List(3, "Head status", HeadStatusNames) with { Flags = ParameterFlags.IsReadOnly | ParameterFlags.IsList },
            Parameter.Range(4, "Listener: yaw", "°", -180, 180, 0, 1),
            Parameter.Range(5, "Listener: pitch", "°", -180, 180, 0, 1),
            Parameter.Range(6, "Listener: roll", "°", -180, 180, 0, 1),
            Parameter.Range(7, "Pair: angle", "°", 0, 360, 90, 1),
            Parameter.Range(8, "Pair: pattern", "", 0, 1, 0.5, 2),
            Parameter.Range(9, "Pair: azimuth", "°", -180, 180, 0, 1),
            Parameter.Range(10, "Pair: elevation", "°", -90, 90, 0, 1),
            Parameter.Range(11, "Gain", "dB", -24, 24, 0, 2),
            Parameter.Meter(12, "Level left", "dBFS", -120, 6, 1),
            Parameter.Meter(13, "Level right", "dBFS", -120, 6, 1),
        };
        if (order == 1)
        {
            // Of a tetrahedron in its usual order, the first two channels look to the front, left and right.
            all.Add(Parameter.List(14, "Left capsule", CapsuleNames));
            all.Add(Parameter.List(15, "Right capsule", CapsuleNames, 1));
        }
        return new ParameterTable([.. all]);
    }
}
