using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>Everything that the encoder's filters depend on. Two equal shapes have equal filters.</summary>
/// <remarks>A session's values enter by the version of the link, so that comparing costs nothing and allocates nothing.</remarks>
internal readonly record struct ArrayShape(
    bool FromSession, int SessionVersion, string ArrayName, int Order, double RadiusMm, double Pattern, int Mount, Correction Correction, double SampleRateHz)
{
    /// <summary>What hosts are told of the array that plays: as asked, by hand for want of one, or a number past these for each <see cref="ArrayFault"/>, not there.</summary>
    public const int AsAsked = 0, NoArrayInSession = 1, NoSuchArray = 7;

    public static IReadOnlyList<string> StatusNames { get; } =
    [
        "As asked", "The session has no array: set by hand", "Refused: four capsules are needed", "Refused: radius out of range",
        "Refused: pattern out of range", "Refused: two capsules look the same way", "Refused: directions too near one plane",
        "Refused: the session has no such array",
    ];

    // Without a session nobody knows the temperature: 20 °C.
    private const double UsualTemperatureC = 20;

    /// <summary>The number of <see cref="StatusNames"/>.</summary>
    public int StatusOf(SessionDocument? session, ArrayFault fault) => IsMissing(session)
        ? NoSuchArray
        : fault != ArrayFault.None ? NoArrayInSession + (int)fault : FromSession && session is { Arrays.Count: 0 } ? NoArrayInSession : AsAsked;

    /// <summary>Whether the session has arrays, but not the one that was chosen.</summary>
    public bool IsMissing(SessionDocument? session) => FromSession && session is { Arrays.Count: > 0 } && ArrayChoice.Find(session, ArrayName) is null;

    /// <summary>The array, and the speed of sound that goes with it.</summary>
    public (CapsuleArray Array, double SpeedOfSoundMps) Resolve(SessionDocument? session)
    {
        var speed = session?.Air.SpeedOfSound ?? Air.SpeedOfSoundMps(UsualTemperatureC);
        return FromSession && ArrayChoice.Find(session, ArrayName) is { } entry
            ? (entry.ToCapsuleArray(), speed)
            : (new CapsuleArray(CapsuleOrders.Directions(Order), RadiusMm / 1000, Pattern, Mounts.Rotation(Mount)), speed);
    }
}
