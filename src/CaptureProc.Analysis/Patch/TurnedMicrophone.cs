using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Patch;

/// <summary>A microphone that is turned otherwise than its session says, which sounds like cables that are exchanged.</summary>
/// <remarks>
/// A tetrahedron comes to lie upon itself in twelve turns: to stay, three half turns, eight third turns. After each of them every
/// capsule looks where another was written down, so what is heard is an even permutation of the channels with nothing wrong at the cables.
/// Odd permutations are mirror images, which no turn makes: they are exchanged cables for sure.
/// </remarks>
internal static class TurnedMicrophone
{
    // Of a unit vector: three degrees. Capsules of a session need not be a perfect tetrahedron.
    private const double Same = 0.05;

    private static readonly (string Words, double YawDeg, double PitchDeg, double RollDeg)[] Named =
    [
        ("stands upright", 0, 0, 0),
        ("hangs head down", 0, 0, 180),
        ("stands upright, facing backwards", 180, 0, 0),
        ("hangs head down, facing backwards", 180, 0, 180),
        ("lies with its top to the front", 0, -90, 0),
        ("lies with its top to the back", 0, 90, 0),
        ("lies with its top to the left", 0, 0, -90),
        ("lies with its top to the right", 0, 0, 90),
    ];

    /// <summary>The turn, in the room, that brings every capsule to where the one it is heard as looks; null where there is none.</summary>
    /// <param name="look">Where the capsule on each channel looks in the room, by the session.</param>
    /// <param name="heardAs">For each channel the capsule that it was found to carry.</param>
    public static Rotation3D? Find(IReadOnlyList<Vector3D> look, IReadOnlyList<int> heardAs)
    {
        var first = Between(look[0], look[heardAs[0]]);
        var axis = look[heardAs[0]];
        Vector3D Across(Vector3D v) => (v - Vector3D.Dot(v, axis) * axis).Normalised();
        var (from, to) = (Across(first.Apply(look[1])), Across(look[heardAs[1]]));
        var angleDeg = Math.Atan2(Vector3D.Dot(Vector3D.Cross(from, to), axis), Vector3D.Dot(from, to)) * 180 / Math.PI;
        var turn = Rotation3D.About(axis, angleDeg) * first;
        for (var c = 0; c < look.Count; c++)
            if ((turn.Apply(look[c]) - look[heardAs[c]]).Length > Same)
                return null;
        return turn;
    }

    /// <summary>The mount of a session after a turn in the room, in whole degrees.</summary>
    public static MountEntry Mount(MountEntry before, Rotation3D turn)
    {
        var now = turn * before.ToRotation();
        var front = now.Apply(Vector3D.Front);
        // Straight up or down, yaw and roll are one turn; it is called roll.
        var yawDeg = Math.Abs(front.Z) > 0.999 ? 0 : Degrees(Math.Atan2(front.Y, front.X));
        var pitchDeg = Degrees(Math.Asin(Math.Clamp(front.Z, -1, 1)));
        var left = (Rotation3D.FromYawPitchRollDeg(yawDeg, pitchDeg, 0).Inverse() * now).Apply(Vector3D.Left);
        return new MountEntry { YawDeg = yawDeg, PitchDeg = pitchDeg, RollDeg = Degrees(Math.Atan2(left.Z, left.Y)) };
    }

    /// <summary>What a person sees who looks up at it.</summary>
    public static string InWords(MountEntry mount)
    {
        var angles = FormattableString.Invariant($"mount {mount.YawDeg:0},{mount.PitchDeg:0},{mount.RollDeg:0}");
        foreach (var named in Named)
            if ((Rotation3D.FromYawPitchRollDeg(named.YawDeg, named.PitchDeg, named.RollDeg) * mount.ToRotation().Inverse()).ToAxisAngle().AngleDeg < 2)
                return $"{named.Words} ({angles})";
        return $"is turned (yaw, pitch, roll: {angles})";
    }

    /// <summary>The turns of a cube: all the ways to hang, lay or stand a microphone squarely.</summary>
    public static IEnumerable<Rotation3D> SquareTurns()
    {
        foreach (var (pitchDeg, rollDeg) in ((double, double)[])[(0, 0), (0, 90), (0, 180), (0, -90), (90, 0), (-90, 0)])
            foreach (var yawDeg in (double[])[0, 90, 180, -90])
                yield return Rotation3D.FromYawPitchRollDeg(yawDeg, pitchDeg, rollDeg);
    }

    private static Rotation3D Between(Vector3D from, Vector3D to)
    {
        var axis = Vector3D.Cross(from, to);
        if (axis.Length < 1e-9)
            axis = Vector3D.Cross(from, Math.Abs(from.X) < 0.9 ? Vector3D.Front : Vector3D.Left);
        return Rotation3D.About(axis, Math.Atan2(Vector3D.Cross(from, to).Length, Vector3D.Dot(from, to)) * 180 / Math.PI);
    }

    private static double Degrees(double rad) => Math.Round(rad * 180 / Math.PI) is var d && d == -180 ? 180 : d + 0.0;
}
