using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Arrays;

/// <summary>Four directional capsules on a small sphere, facing outwards: where each channel of the A-format looks.</summary>
/// <param name="Capsules">Direction of the capsule on each channel, in the array's own frame.</param>
/// <param name="RadiusM">Distance of every capsule from the acoustic centre, in metres.</param>
/// <param name="Pattern">First-order pattern α of s(γ) = α + (1−α)·cos γ: 0 figure-eight, 0.5 cardioid, 1 omni.</param>
/// <param name="Mount">How the array is turned in the room: a capsule at u in the array's frame looks to Mount·u.</param>
public sealed record CapsuleArray(IReadOnlyList<Direction> Capsules, double RadiusM, double Pattern, Rotation3D Mount)
{
    /// <summary>Where each capsule looks in the room, as unit vectors.</summary>
    public Vector3D[] LookDirections()
    {
        var look = new Vector3D[Capsules.Count];
        for (var i = 0; i < look.Length; i++)
            look[i] = Mount.Apply(Capsules[i].ToUnitVector());
        return look;
    }
}
