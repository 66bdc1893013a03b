using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Tells at which spot a click was made: at the one that hears it first, and loudest for its own measure.</summary>
/// <remarks>
/// Time alone decides where it is clear, because it does not depend on gains. A level says nothing by itself, as gains may differ
/// by 24 dB, but the ratio of two spots' levels moves from click to click: it is higher for claps at the one than for claps at
/// the other. That helps twice. Two spots that hear a click within a quarter of a millisecond: it goes to the spot on whose side
/// of the middle its ratio lies. And a spot that seems to have no clap at all, while a neighbour has claps at two places: the
/// place that this spot hears second, sooner and louder than the other, is its own, and the neighbour's microphone merely stands nearer.
/// </remarks>
public sealed class ClickOwnership
{
    private const double ClearSeconds = 0.00025;

    /// <summary>90 cm of way: a spot's own clap reaches no other spot sooner than this ahead of its own.</summary>
    private const double SoonSeconds = 0.0026;

    // Ratios that differ by less than this come from claps at one place.
    private const double LeastSpreadDb = 3;

    private const double SamePlaceSeconds = 0.0006;
    private const double SamePlaceDeg = 12;

    private readonly IReadOnlyList<ClickObservation> clicks;
    private readonly double rate;
    private readonly int[] owners;

    private ClickOwnership(IReadOnlyList<ClickObservation> clicks, double rate)
    {
        (this.clicks, this.rate) = (clicks, rate);
        owners = new int[clicks.Count];
    }

    /// <summary>The owner of every click; −1 where it was made at no spot.</summary>
    public static int[] Assign(IReadOnlyList<ClickObservation> clicks, int spotCount, double workingRateHz)
    {
        var all = new ClickOwnership(clicks, workingRateHz);
        for (var i = 0; i < clicks.Count; i++)
            all.owners[i] = all.FirstToHear(clicks[i]);
        for (var spot = 0; spot < spotCount; spot++)
            if (!all.owners.Contains(spot))
                all.FindForgotten(spot);
        return all.owners;
    }

    /// <summary>The spots a click may belong to, and for which it has to be measured: the first, and a second that hears it soon after.</summary>
    public static int[] Candidates(ClickObservation click, double workingRateHz)
    {
        var order = click.SpotsByTime;
        return order.Length > 1 && Gap(click) <= SoonSeconds * workingRateHz ? [order[0], order[1]] : [.. order.Take(1)];
    }

    private int FirstToHear(ClickObservation click)
    {
        var order = click.SpotsByTime;
        if (order.Length == 0)
            return -1;
        var owner = order[0];
        if (order.Length > 1 && Gap(click) <= ClearSeconds * rate)
        {
            var (a, b) = (order[0], order[1]);
            double[] ratios = [.. clicks.Where(c => c.Onsets[a] is not null && c.Onsets[b] is not null).Select(c => RatioDb(c, a, b))];
            if (ratios.Max() - ratios.Min() > LeastSpreadDb && RatioDb(click, a, b) < (ratios.Max() + ratios.Min()) / 2)
                owner = b;
        }
        // A clap that the array hears before its spot was made nearer to the array: it is nobody's own.
        return click.Arrivals[owner] is { DelaySamples: < -10 } ? -1 : owner;
    }

    private void FindForgotten(int spot)
    {
        for (var i = 0; i < clicks.Count; i++)
        {
            var click = clicks[i];
            if (owners[i] < 0 || click.SpotsByTime is not [_, var second, ..] || second != spot || click.Arrivals[spot] is null)
                continue;
            var neighbour = owners[i];
            for (var j = 0; j < clicks.Count; j++)
                if (owners[j] == neighbour && clicks[j].Onsets[spot] is not null && AreApart(click, clicks[j], neighbour)
                    && RatioDb(click, spot, neighbour) > RatioDb(clicks[j], spot, neighbour)
                    && Gap(click, neighbour, spot) < Gap(clicks[j], neighbour, spot))
                {
                    owners[i] = spot;
                    break;
                }
        }
    }

    /// <summary>Whether two clicks were made at different places, as far as one spot and the array can tell.</summary>
    private bool AreApart(ClickObservation one, ClickObservation other, int spot) =>
        one.Arrivals[spot] is { } a && other.Arrivals[spot] is { } b
        && (Math.Abs(a.DelaySamples - b.DelaySamples) > SamePlaceSeconds * rate
            || Direction.AngleBetweenDeg(Direction.Of(a.Direction.Direction), Direction.Of(b.Direction.Direction)) > SamePlaceDeg);

    /// <summary>By how much the second spot hears a click later than the first.</summary>
    private static int Gap(ClickObservation click) => Gap(click, click.SpotsByTime[0], click.SpotsByTime[1]);

    private static int Gap(ClickObservation click, int first, int second) =>
        click.Onsets[second]!.Value.Sample - click.Onsets[first]!.Value.Sample;

    private static double RatioDb(ClickObservation click, int a, int b) =>
        20 * Math.Log10(click.Onsets[a]!.Value.Peak / click.Onsets[b]!.Value.Peak);
}
