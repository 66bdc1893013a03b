using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>An arrival and how far it is to be believed.</summary>
public readonly record struct WeighedArrival(Arrival Arrival, double Confidence)
{
    /// <summary>Power over that of the loudest at the same spot: a cough says less about where a clap came from than the clap does.</summary>
    public double Loudness { get; init; } = 1;

    internal double Belief => Confidence * Loudness;
}

/// <summary>Several arrivals of one spot as one.</summary>
/// <remarks>
/// Thread: [any].
/// Hands do not clap twice at the same point: delays of honest claps differ by some samples, more than each one's own
/// uncertainty. So arrivals within ten centimetres of way count as agreeing, and the scatter between them is estimated along with
/// the mean (DerSimonian and Laird's random effects, Controlled Clinical Trials 7, 1986; from memory). Of several groups that
/// contradict each other the most believed one counts, and the belief in the others is taken off. Arrivals far less certain than
/// the best one are left alone: they would add nothing to the mean, but their errors would pass for scatter of the hands.
/// </remarks>
public sealed class ArrivalGroup
{
    private const double AgreeingM = 0.1;

    /// <summary>An arrival with this many times the best uncertainty has 1 % of its weight.</summary>
    private const double BluntTimes = 10;

    private ArrivalGroup(IReadOnlyList<WeighedArrival> members) => Members = members;

    public IReadOnlyList<WeighedArrival> Members { get; }

    /// <summary>Arrivals that are as certain as these but say something else.</summary>
    public int ContradictedBy { get; private init; }

    /// <summary>Working rate.</summary>
    public double DelaySamples { get; private init; }

    public double DelaySigma { get; private init; }

    public double Confidence { get; private init; }

    /// <summary>Null where the members do not agree.</summary>
    public int? Polarity { get; private init; }

    public double GainDb { get; private init; }

    public Vector3D Direction { get; private init; }

    public double DirectionSigmaRad { get; private init; }

    /// <summary>The most believed group among arrivals; there has to be one at least.</summary>
    public static ArrivalGroup Best(IReadOnlyList<WeighedArrival> arrivals, double samplesPerMetre)
    {
        var sharpest = arrivals.Min(a => a.Arrival.DelaySigma);
        List<WeighedArrival> sharp = [.. arrivals.Where(a => a.Arrival.DelaySigma <= BluntTimes * sharpest)];
        List<WeighedArrival>? best = null;
        foreach (var centre in sharp)
        {
            var group = sharp.Where(a => Agree(a.Arrival, centre.Arrival, samplesPerMetre)).ToList();
            if (best is null || group.Sum(a => a.Belief) > best.Sum(a => a.Belief))
                best = group;
        }
        return Combine(best!, sharp);
    }

    /// <summary>The same, believed no further than a limit.</summary>
    public ArrivalGroup AtMost(double confidence) => new(Members)
    {
        ContradictedBy = ContradictedBy,
        DelaySamples = DelaySamples,
        DelaySigma = DelaySigma,
        Confidence = Math.Min(Confidence, confidence),
        Polarity = Polarity,
        GainDb = GainDb,
        Direction = Direction,
        DirectionSigmaRad = DirectionSigmaRad,
    };

    private static bool Agree(Arrival a, Arrival b, double samplesPerMetre) =>
        Math.Abs(a.DelaySamples - b.DelaySamples)
        <= Math.Max(AgreeingM * samplesPerMetre, 4 * Math.Sqrt(a.DelaySigma * a.DelaySigma + b.DelaySigma * b.DelaySigma));

    private static ArrivalGroup Combine(List<WeighedArrival> group, List<WeighedArrival> all)
    {
        var belief = all.Sum(a => a.Belief);
        var scatter = ScatterBetween(group);
        var (weight, delay) = (0.0, 0.0);
        var (direction, directionWeight, gainDb) = (default(Vector3D), 0.0, 0.0);
        var doubt = 1.0;
        foreach (var member in group)
        {
            var (arrival, confidence) = (member.Arrival, member.Confidence);
            var w = confidence / (arrival.DelaySigma * arrival.DelaySigma + scatter);
            (weight, delay, gainDb) = (weight + w, delay + w * arrival.DelaySamples, gainDb + w * 20 * Math.Log10(Math.Abs(arrival.Gain)));
            var v = confidence / (arrival.Direction.SigmaRad * arrival.Direction.SigmaRad);
            (directionWeight, direction) = (directionWeight + v, direction + v * arrival.Direction.Direction);
            doubt *= 1 - confidence;
        }
        var positive = group.Count(a => a.Arrival.Gain > 0);
        var inside = group.Sum(a => a.Belief);
        return new ArrivalGroup(group)
        {
            ContradictedBy = all.Count - group.Count,
            DelaySamples = delay / weight,
            DelaySigma = Math.Sqrt(group.Max(a => a.Confidence) / weight),
            Confidence = Math.Min(1 - doubt, 0.999) * inside / Math.Max(belief, 1e-9),
            Polarity = positive == group.Count ? 1 : positive == 0 ? -1 : null,
            GainDb = gainDb / weight,
            Direction = direction.Normalised(),
            DirectionSigmaRad = Math.Sqrt(group.Max(a => a.Confidence) / directionWeight),
        };
    }

    /// <summary>Variance between claps beyond what each one's uncertainty explains.</summary>
    private static double ScatterBetween(List<WeighedArrival> group)
    {
        var (w1, w2, mean) = (0.0, 0.0, 0.0);
        foreach (var arrival in group.Select(m => m.Arrival))
        {
            var w = 1 / (arrival.DelaySigma * arrival.DelaySigma);
            (w1, w2, mean) = (w1 + w, w2 + w * w, mean + w * arrival.DelaySamples);
        }
        mean /= w1;
        var q = 0.0;
        foreach (var arrival in group.Select(m => m.Arrival))
            q += (arrival.DelaySamples - mean) * (arrival.DelaySamples - mean) / (arrival.DelaySigma * arrival.DelaySigma);
        var degrees = group.Count - 1;
        return degrees == 0 ? 0 : Math.Max(0, (q - degrees) / (w1 - w2 / w1));
    }
}
