namespace CaptureProc.Analysis.Stage;

/// <summary>How far the others bear out, or contradict, what the array heard of a clap.</summary>
/// <param name="LateSeconds">By how much the array heard it later than all others, and the directions of other claps, say.</param>
/// <param name="SigmaSeconds">How well they say it; infinite where they do not.</param>
/// <param name="Witnesses">Microphones beside the array and the clap's own spot whose times count.</param>
public readonly record struct StageCheck(double LateSeconds, double SigmaSeconds, int Witnesses)
{
    /// <summary>As many others make a triangle close that is none by chance.</summary>
    public const int Enough = 4;

    /// <summary>A first arrival that is false comes up to 20 ms late, the early the likelier: so probable is each second of it.</summary>
    private const double FalsePerSecond = 100;

    /// <summary>What a contradiction has to be told by, to be one: chance, and a stage unlike any that was foreseen.</summary>
    private const double ContradictionDeviations = 5, LeastContradictionSeconds = 0.0003;

    /// <summary>Four witnesses or more, and they say that the array heard something else.</summary>
    public bool Contradicts => Witnesses >= Enough && SigmaSeconds < 0.002
        && Math.Abs(LateSeconds) > Math.Max(LeastContradictionSeconds, ContradictionDeviations * SigmaSeconds);

    /// <summary>A confidence in the light of the others, by Bayes' rule.</summary>
    /// <remarks>
    /// If the arrival is right it lies where the others have it, with their deviation; if it is a reflection it lies anywhere later. The ratio of
    /// the two densities multiplies the odds. What the others cannot tell to half a millisecond leaves them as they were.
    /// </remarks>
    public double Judge(double confidence)
    {
        if (Witnesses < Enough || !(SigmaSeconds < 0.0005))
            return confidence;
        var off = LateSeconds / SigmaSeconds;
        var density = Math.Exp(-0.5 * Math.Min(off * off, 200)) / (Math.Sqrt(2 * Math.PI) * SigmaSeconds);
        var odds = confidence / Math.Max(1e-9, 1 - confidence) * density / FalsePerSecond;
        // Nothing is ever surer than this: there is always what no geometry knows.
        return Math.Min(0.999, odds / (1 + odds));
    }

    public static StageCheck Of(StageResult stage, int clap, int microphonesBeforeSpots, int ownSpot)
    {
        var (late, sigma) = stage.WithoutArray(clap);
        return new StageCheck(late, sigma, stage.Times.Count(t => t.Clap == clap && t.IsUsed && t.Microphone > 0 && t.Microphone != microphonesBeforeSpots + ownSpot));
    }
}
