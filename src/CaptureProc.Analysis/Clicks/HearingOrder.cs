namespace CaptureProc.Analysis.Clicks;

/// <summary>Settles which of several spots hears a click first, by the sound itself.</summary>
/// <remarks>
/// Thread: as the reader. Cost: nothing where the order is plain, some milliseconds where it is not.
/// Where a sound begins is a matter of thresholds, and a far spot may pass one that the near spot does not: fingers slide before they snap,
/// several hands are never quite together. So where onsets lie close, each of the few candidates' recording is looked for in the
/// others', as it is in the array: what lies between two recordings of one sound does not depend on where either is said to begin.
/// </remarks>
internal static class HearingOrder
{
    /// <summary>Onsets may be misjudged by this against one another.</summary>
    private const double DoubtSeconds = 0.012;

    private const int MostCandidates = 5;

    public static IReadOnlyList<SpotExcerpt> Settle(SpotExcerpt[] spots, ClickReader reader)
    {
        int[] heard = [.. Enumerable.Range(0, spots.Length).Where(s => spots[s].Onset is not null)];
        if (heard.Length < 2)
            return spots;
        var first = heard.MinBy(Sample);
        var doubt = DoubtSeconds * reader.WorkingRateHz;
        int[] candidates = [.. heard.Where(s => Sample(s) - Sample(first) <= doubt).OrderBy(Sample).Take(MostCandidates)];
        if (candidates.Length < 2)
            return spots;

        var found = new FirstArrival?[candidates.Length, candidates.Length];
        for (var a = 0; a < candidates.Length; a++)
        {
            var onset = Sample(candidates[a]);
            var click = reader.Estimator.Prepare(spots[candidates[a]].Channel, onset);
            for (var b = 0; b < candidates.Length; b++)
                if (a != b)
                    found[a, b] = reader.Estimator.FindIn(spots[candidates[b]].Channel.Samples, click, onset);
        }
        int? nearest = null;
        for (var a = 0; a < candidates.Length; a++)
            if (Enumerable.Range(0, candidates.Length).All(b => b == a || LagBetween(found[a, b], found[b, a]) > 0))
                nearest = nearest is null ? a : -1;
        if (nearest is not { } near || near < 0)
            return spots;
        // The others' onsets are put where the near spot's sound begins in them.
        var settled = spots.ToArray();
        for (var b = 0; b < candidates.Length; b++)
            if (b != near)
                settled[candidates[b]] = Moved(candidates[b], Sample(candidates[near]) + (LagBetween(found[near, b], found[b, near]) ?? 0));
        foreach (var s in heard.Except(candidates))
            if (Sample(s) <= Sample(candidates[near]))
                settled[s] = Moved(s, Sample(candidates[near]) + (int)doubt);
        return settled;

        int Sample(int spot) => spots[spot].Onset!.Value.Sample;

        SpotExcerpt Moved(int spot, int sample) => spots[spot] with { Onset = spots[spot].Onset!.Value with { Sample = sample } };

        // Which of the two recordings is the clearer is asked of the two themselves: what stands out more in the other counts.
        static int? LagBetween(FirstArrival? there, FirstArrival? back) =>
            there is { } t && (back is not { } b || t.Significance >= b.Significance) ? t.Lag : -back?.Lag;
    }
}
