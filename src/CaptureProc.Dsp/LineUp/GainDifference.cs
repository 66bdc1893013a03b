namespace CaptureProc.Dsp.LineUp;

/// <summary>How two channels came to hear the noise.</summary>
public enum LineUpWay
{
    /// <summary>They did not, or not long enough, or not in a way that says anything about gain.</summary>
    None,

    /// <summary>Both at once, the same noise: its fluctuations drop out.</summary>
    AtOnce,

    /// <summary>One after the other, and the noise never repeated: its fluctuations are all that limits the result.</summary>
    InTurn,

    /// <summary>One after the other, and the noise did repeat: the same stretch was compared.</summary>
    InTurnSameNoise,

    /// <summary>In a room full of sound from all round, where every capsule has the same level in the long run.</summary>
    Diffuse,
}

/// <summary>What can be said about a difference and a tolerance.</summary>
public enum ToleranceVerdict
{
    /// <summary>The interval reaches over the tolerance's edge.</summary>
    CannotTell,
    Within,
    Out,
}

/// <summary>Gain of a channel over the reference channel.</summary>
/// <param name="Db">Positive: the channel is louder.</param>
/// <param name="UncertaintyDb">Half the interval that holds the true value in 95 % of the cases.</param>
/// <param name="Way">How it was measured.</param>
/// <param name="Seconds">How long the shorter of both heard the noise.</param>
/// <param name="IsInverted">The channel has the opposite polarity; known only where both heard the noise at once.</param>
public readonly record struct GainDifference(double Db, double UncertaintyDb, LineUpWay Way, double Seconds, bool IsInverted)
{
    public ToleranceVerdict Judge(double toleranceDb) => Way == LineUpWay.None ? ToleranceVerdict.CannotTell
        : Math.Abs(Db) + UncertaintyDb <= toleranceDb ? ToleranceVerdict.Within
        : Math.Abs(Db) - UncertaintyDb > toleranceDb ? ToleranceVerdict.Out
        : ToleranceVerdict.CannotTell;

    /// <summary>How long the noise would have to run in all until the verdict is there: the interval shrinks with √time.</summary>
    public double SecondsNeeded(double toleranceDb)
    {
        var room = Math.Abs(Math.Abs(Db) - toleranceDb);
        var ratio = UncertaintyDb / Math.Max(room, 1e-3 * toleranceDb);
        return Seconds * Math.Max(1, ratio * ratio);
    }
}
