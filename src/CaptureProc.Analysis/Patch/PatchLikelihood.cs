namespace CaptureProc.Analysis.Patch;

/// <summary>One way the cables may be plugged.</summary>
/// <param name="Capsule">Which capsule is on each channel.</param>
/// <param name="Sign">Polarity of each channel; the first is +1, since turning all of them changes nothing that can be heard.</param>
internal sealed record Patching(int[] Capsule, int[] Sign);

/// <summary>All ways the cables may be plugged, and what taps at known capsules say of them.</summary>
internal static class PatchLikelihood
{
    public const int Capsules = 4;

    /// <summary>Relative polarities of four channels.</summary>
    public const int SignsPerOrder = 8;

    private const double TapLeadDb = 14;
    private const double TapSigmaDb = 5;

    // Cables are more often right than any one other way, and claps now and then come from elsewhere than they should.
    private const double PriorRight = 0.5;
    private const double PriorElsewhere = 0.1;

    /// <summary>All 24 orders with all 8 relative polarities; those of cables in place come first.</summary>
    public static IReadOnlyList<Patching> All { get; } = [.. Orders().SelectMany(order => Enumerable.Range(0, SignsPerOrder)
        .Select(bits => new Patching(order, [1, (bits & 1) == 0 ? 1 : -1, (bits & 2) == 0 ? 1 : -1, (bits & 4) == 0 ? 1 : -1])))];

    /// <summary>Log likelihood of every patching for taps at capsules in turn; it does not depend on the polarities.</summary>
    /// <param name="levelsDb">A row for each tap, without the gains of the channels.</param>
    /// <param name="capsules">The capsule that each was made at.</param>
    public static double[] OfTaps(double[][] levelsDb, IReadOnlyList<int> capsules)
    {
        var likelihood = new double[All.Count];
        for (var tap = 0; tap < levelsDb.Length; tap++)
        {
            for (var p = 0; p < likelihood.Length; p++)
            {
                for (var c = 0; c < Capsules; c++)
                {
                    var expected = All[p].Capsule[c] == capsules[tap] ? 0.75 * TapLeadDb : -0.25 * TapLeadDb;
                    var off = levelsDb[tap][c] - expected;
                    likelihood[p] -= off * off / (2 * TapSigmaDb * TapSigmaDb);
                }
            }
        }
        return likelihood;
    }

    /// <summary>Probabilities that add up to 1 together with <paramref name="elsewhere"/>.</summary>
    /// <param name="likelihood">Logarithms, of every patching.</param>
    /// <param name="likelihoodElsewhere">Of claps that came from elsewhere than was said; null for taps, where nothing was said.</param>
    /// <param name="elsewhere">The probability of that.</param>
    public static double[] Posterior(double[] likelihood, double? likelihoodElsewhere, out double elsewhere)
    {
        var none = likelihoodElsewhere is null ? 0 : PriorElsewhere;
        double Prior(int patching) => patching < SignsPerOrder ? PriorRight / SignsPerOrder : (1 - PriorRight - none) / (All.Count - SignsPerOrder);
        var largest = Math.Max(likelihood.Max(), likelihoodElsewhere ?? double.NegativeInfinity);
        var weights = likelihood.Select((l, p) => Prior(p) * Math.Exp(l - largest)).ToArray();
        var other = likelihoodElsewhere is { } alone ? none * Math.Exp(alone - largest) : 0;
        var sum = weights.Sum() + other;
        elsewhere = other / sum;
        return Array.ConvertAll(weights, w => w / sum);
    }

    private static IEnumerable<int[]> Orders() =>
        from a in Enumerable.Range(0, Capsules)
        from b in Enumerable.Range(0, Capsules)
        from c in Enumerable.Range(0, Capsules)
        from d in Enumerable.Range(0, Capsules)
        where a != b && a != c && a != d && b != c && b != d && c != d
        select new[] { a, b, c, d };
}
