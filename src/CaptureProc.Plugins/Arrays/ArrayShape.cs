using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>Everything that the encoder's filters depend on. Two equal shapes have equal filters.</summary>
/// <remarks>A session's values enter by the version of the link, so that comparing costs nothing and allocates nothing.</remarks>
internal readonly record struct ArrayShape(
    bool FromSession, int SessionVersion, int Order, double RadiusMm, double Pattern, int Mount, Correction Correction, double SampleRateHz)
{
    // Without a session nobody knows the temperature: 20 °C.
    private const double UsualTemperatureC = 20;

    /// <summary>The array, and the speed of sound that goes with it.</summary>
    public (CapsuleArray Array, double SpeedOfSoundMps) Resolve(SessionDocument? session)
    {
        var speed = session?.Air.SpeedOfSound ?? Air.SpeedOfSoundMps(UsualTemperatureC);
        return FromSession && session is { Arrays.Count: > 0 }
            ? (session.MainArray().ToCapsuleArray(), speed)
            : (new CapsuleArray(CapsuleOrders.Directions(Order), RadiusMm / 1000, Pattern, Mounts.Rotation(Mount)), speed);
    }
}
