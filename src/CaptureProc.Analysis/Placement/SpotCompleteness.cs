namespace CaptureProc.Analysis.Placement;

/// <summary>Whether the spots know all of the direct sound, or somebody plays who has none.</summary>
/// <remarks>
/// Thread: [any]. The direct sound of a player without a spot passes for hall, and nothing in the spots tells. The array alone hears it:
/// its own estimate is rougher, but blind to spots. Where it finds more direct sound than they bring, two things can be true: it
/// errs, by its standard deviation, or players are missing, who may add anything up to <see cref="MostMissingDb"/>. Bayes' rule
/// with a prior of one rehearsal in five (common practice, no source) weighs them.
/// </remarks>
/// <param name="SpotsDb">Direct over rest by the spots.</param>
/// <param name="SpotsSigmaDb">Its standard deviation if they know all.</param>
/// <param name="ArrayDb">The same by the array alone.</param>
public readonly record struct SpotCompleteness(double SpotsDb, double SpotsSigmaDb, double ArrayDb)
{
    private const double PriorMissing = 0.22;
    private const double MostMissingDb = 15;
    private const double ArrayIsRight = 0.9;

    /// <summary>How much more direct sound the array hears.</summary>
    public double MissingDb => ArrayDb - SpotsDb;

    /// <summary>Probability that a part of the direct sound is in no spot.</summary>
    public double Probability
    {
        get
        {
            var sigma = Math.Sqrt(PlaneWaveShare.UncertaintyDb * PlaneWaveShare.UncertaintyDb + SpotsSigmaDb * SpotsSigmaDb);
            var z = MissingDb / sigma;
            var complete = (1 - PriorMissing) * Math.Exp(-z * z / 2) / (sigma * Math.Sqrt(2 * Math.PI));
            // Half of the array's error to either side: what it hears less than the spots bring is its error, not somebody missing.
            var missing = PriorMissing / MostMissingDb / (1 + Math.Exp(-1.7 * z));
            return missing / (missing + complete);
        }
    }

    /// <summary>Whether the spots' figure has to be given up for the array's.</summary>
    public bool IsArrayBetter => Probability > ArrayIsRight;

    /// <summary>Standard deviation of the figure that is given, with what may be missing in it.</summary>
    public double SigmaDb
    {
        get
        {
            var (p, square) = (Probability, MissingDb * MissingDb);
            var array = PlaneWaveShare.UncertaintyDb * PlaneWaveShare.UncertaintyDb;
            return Math.Sqrt(IsArrayBetter ? array + (1 - p) * square : (1 - p) * SpotsSigmaDb * SpotsSigmaDb + p * (array + square));
        }
    }
}
