using System.Globalization;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>A further array: where it is, and how it is turned beyond what its mount says.</summary>
/// <param name="Place">Of its acoustic centre.</param>
/// <param name="Turn">Applied to directions as it states them, it gives those in the main array's axes.</param>
/// <param name="TurnSigmaDeg">Standard deviation about the worst of three axes.</param>
public sealed record StageArray(StagePlace Place, Rotation3D Turn, double TurnSigmaDeg)
{
    /// <summary>How far round the whole turn goes, 0 to 180 degrees.</summary>
    public double AngleDeg => Turn.ToAxisAngle().AngleDeg;

    /// <summary>By how much its own up is off the main array's: 180 = it hangs head down.</summary>
    public double TiltDeg => Math.Acos(Math.Clamp(Turn.Apply(Vector3D.Up).Z, -1, 1)) * 180 / Math.PI;

    /// <summary>Null where it stands as its mount says, or nothing tells.</summary>
    public string? InWords()
    {
        if (TurnSigmaDeg > 15)
            return null;
        if (TiltDeg > 150)
            return "hangs head down, against what its mount says";
        return AngleDeg > Math.Max(4, 3 * TurnSigmaDeg)
            ? string.Create(CultureInfo.InvariantCulture, $"is turned by {AngleDeg:0}° ± {TurnSigmaDeg:0.0} against what its mount says")
            : null;
    }

    internal static StageArray Of(StageFit fit, int array, double variance)
    {
        var at = fit.State.TurnAt(array);
        var worst = Enumerable.Range(0, 3).Max(axis => fit.Covariance(at + axis, at + axis));
        return new StageArray(fit.PlaceAt(fit.State.MicrophoneAt(array), variance), fit.State.Turns[array], Math.Sqrt(variance * worst) * 180 / Math.PI);
    }
}
