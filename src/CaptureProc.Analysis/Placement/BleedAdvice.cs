using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Placement;

/// <summary>How much less a spot would hear of somebody else's player, against its own, if it were turned away or moved nearer.</summary>
/// <param name="TurnDeg">Away from the other player, in the plane of both; 0 where turning does not help.</param>
/// <param name="TurnFallDb">By how much the other falls against the own player.</param>
/// <param name="NearerM">Half the present distance from the own player.</param>
/// <param name="NearerFallDb">The same at that distance.</param>
/// <remarks>
/// Thread: [any]. The spot is taken to look at its own player now. Direct sound only: what the hall brings of the other player stays.
/// Source: first-order pattern and 1/r, in closed form.
/// </remarks>
public readonly record struct BleedAdvice(double TurnDeg, double TurnFallDb, double NearerM, double NearerFallDb)
{
    /// <summary>The own player loses no more than this for it.</summary>
    private const double OwnLossDb = 3;

    /// <summary>No microphone is deafer than this anywhere (common practice, no source).</summary>
    private const double DeafestDb = -20;

    public static BleedAdvice Of(Vector3D spot, Vector3D own, Vector3D other, FirstOrderPattern pattern)
    {
        var (toOwn, toOther) = (own - spot, other - spot);
        var apartDeg = Direction.AngleBetweenDeg(Direction.Of(toOwn), Direction.Of(toOther));
        var (turnDeg, fallDb) = (0.0, 0.0);
        for (var deg = 1.0; deg <= 90; deg++)
        {
            var lossDb = -Db(pattern, deg);
            if (lossDb > OwnLossDb)
                break;
            // Beyond 180° from the axis the other comes round again.
            var gainDb = Db(pattern, apartDeg) - Db(pattern, Math.Min(apartDeg + deg, 360 - apartDeg - deg)) - lossDb;
            if (gainDb > fallDb + 0.05)
                (turnDeg, fallDb) = (deg, gainDb);
        }
        var nearer = spot + 0.5 * toOwn;
        var nearerFallDb = 20 * Math.Log10(2) - 20 * Math.Log10(toOther.Length / Math.Max(0.05, (other - nearer).Length));
        return new BleedAdvice(turnDeg, fallDb, 0.5 * toOwn.Length, nearerFallDb);
    }

    private static double Db(FirstOrderPattern pattern, double angleDeg) =>
        Math.Max(DeafestDb, 20 * Math.Log10(Math.Max(1e-9, Math.Abs(pattern.At(angleDeg)))));
}
