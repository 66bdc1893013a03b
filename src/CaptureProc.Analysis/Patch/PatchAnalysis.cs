using CaptureProc.Analysis.LineUp;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Patch;

/// <summary>What the patch is found to be.</summary>
/// <param name="Order">Label of the capsule on each channel; null where only the polarity can be told, or not surely.</param>
/// <param name="Expected">As the session has it.</param>
/// <param name="Polarity">Relative polarity of each channel, the majority being +1; null where it cannot be told.</param>
/// <param name="Confidence">Probability of order and relative polarity together; 0 where the order was not looked for.</param>
/// <param name="Problems">What is wrong or unsure, in words, with what to do.</param>
/// <param name="Notes">What cannot be known from this.</param>
public sealed record PatchReport(
    IReadOnlyList<string>? Order, IReadOnlyList<string> Expected, IReadOnlyList<int>? Polarity, double Confidence,
    IReadOnlyList<string> Problems, IReadOnlyList<string> Notes)
{
    public bool IsOk => Problems.Count == 0;
}

/// <summary>Channel order and polarity of an array from taps, from claps, or from any ambience.</summary>
/// <remarks>Thread: [any]. Takes four channels in memory: such recordings last a minute.</remarks>
public static class PatchAnalysis
{
    /// <summary>Below it the result is called unsure.</summary>
    public const double SureFrom = 0.95;

    private const string WholeArray = "all four channels inverted at once sound the same as none: 'measure' tells, by the spots' polarity";

    /// <summary>From claps in stated directions, in the order in which they were made.</summary>
    public static PatchReport FromClaps(float[][] channels, double sampleRateHz, ArrayEntry array, double speedOfSoundMps, IReadOnlyList<Direction> directions)
    {
        ArgumentNullException.ThrowIfNull(array);
        var sounds = SuddenSounds.Find(channels, sampleRateHz, directions.Count);
        return sounds.Count < directions.Count
            ? Unheard(channels, sampleRateHz, array, $"{directions.Count} claps are asked for, but only {sounds.Count} are heard; clap once from each direction, louder, half a second or more apart")
            : Weigh(channels, sampleRateHz, array, PatchLikelihood.OfClaps(sounds, directions, array.ToCapsuleArray(), sampleRateHz, speedOfSoundMps));
    }

    /// <summary>From short noises close to each capsule in turn.</summary>
    /// <param name="channels">The array's four channels.</param>
    /// <param name="sampleRateHz">Their rate.</param>
    /// <param name="array">The array.</param>
    /// <param name="capsules">Index into the array's capsules of each tap.</param>
    public static PatchReport FromTaps(float[][] channels, double sampleRateHz, ArrayEntry array, IReadOnlyList<int> capsules)
    {
        ArgumentNullException.ThrowIfNull(array);
        var sounds = SuddenSounds.Find(channels, sampleRateHz, capsules.Count);
        return sounds.Count < capsules.Count
            ? Unheard(channels, sampleRateHz, array, $"{capsules.Count} taps are asked for, but only {sounds.Count} are heard; make one short noise close to each capsule, half a second or more apart")
            : Weigh(channels, sampleRateHz, array, PatchLikelihood.OfTaps(sounds, capsules),
                order => TapPolarity.Of(sounds, [.. capsules.Select(k => Array.IndexOf(order, k))], sampleRateHz));
    }

    /// <summary>From any sound: no order, but inverted, dead and doubled channels.</summary>
    public static PatchReport FromAmbience(float[][] channels, double sampleRateHz, ArrayEntry array)
    {
        ArgumentNullException.ThrowIfNull(array);
        var check = Check(channels, sampleRateHz, array);
        var problems = Problems(check, array);
        if (check.Sign is { } sign)
            SayInverted(sign, array, problems);
        else if (problems.Count == 0)
            problems.Add("polarity cannot be told: there is too little sound below 400 Hz, or it comes from one side; record more of the room");
        return new PatchReport(null, Labels(array), check.Sign, 0, problems,
            ["ambience does not tell which capsule is on which channel: use taps or claps", WholeArray]);
    }

    // The taps and the room's answer to them are two witnesses: where both speak, they have to say the same.
    private static int[]? Agreed(int[]? taps, int[]? room) => taps is null || room is null ? taps ?? room : taps.SequenceEqual(room) ? taps : null;

    private static PatchReport Unheard(float[][] channels, double sampleRateHz, ArrayEntry array, string problem) =>
        new(null, Labels(array), null, 0, [.. Problems(Check(channels, sampleRateHz, array), array), problem], []);

    // Claps weigh order and polarity together; taps weigh the order alone, and the signs are asked for when the order is known.
    private static PatchReport Weigh(float[][] channels, double sampleRateHz, ArrayEntry array, double[] likelihood, Func<int[], int[]?>? signOfOrder = null)
    {
        var check = Check(channels, sampleRateHz, array);
        var problems = Problems(check, array);
        var posterior = PatchLikelihood.Posterior(likelihood);
        var orders = PatchLikelihood.All.Index().GroupBy(p => string.Join(' ', p.Item.Capsule))
            .Select(g => (g.First().Item.Capsule, Probability: g.Sum(p => posterior[p.Index]), Best: g.MaxBy(p => posterior[p.Index])))
            .OrderByDescending(o => o.Probability).ToList();
        var best = orders[0];
        var sign = signOfOrder is null ? RelativePolarity.Majority(best.Best.Item.Sign) : Agreed(signOfOrder(best.Capsule), check.Sign);
        var confidence = signOfOrder is null ? posterior[best.Best.Index] : best.Probability;
        var order = best.Capsule.Select(k => array.Capsules[k].Label).ToList();
        if (problems.Count > 0)
            return new PatchReport(null, Labels(array), null, 0, problems, []);

        if (confidence < SureFrom)
        {
            problems.Add(FormattableString.Invariant($"unsure: most likely {string.Join(' ', order)} ({best.Probability:0.00}), then {string.Join(' ', orders[1].Capsule.Select(k => array.Capsules[k].Label))} ({orders[1].Probability:0.00}); make the noises again, louder and nearer"));
            return new PatchReport(order, Labels(array), sign, confidence, problems, [WholeArray]);
        }
        SaySwaps(best.Capsule, array, problems);
        if (sign is null)
            problems.Add("the order is sure, the polarity is not: make the noises again, straight in front of each capsule, or record some more of the room's own sound");
        else
            SayInverted(sign, array, problems);
        return new PatchReport(order, Labels(array), sign, confidence, problems, [WholeArray]);
    }

    private static AmbienceCheck Check(float[][] channels, double sampleRateHz, ArrayEntry array)
    {
        var heard = new DiffuseStatistics(sampleRateHz, channels.Length);
        heard.Hear(new Dsp.RealTime.ReadOnlyPlanarSpan(channels, 0, channels[0].Length));
        return AmbienceCheck.Of(heard, array.ToCapsuleArray());
    }

    private static List<string> Problems(AmbienceCheck check, ArrayEntry array) =>
    [
        .. check.Dead.Select(c => $"channel {array.Channels[c]} is dead: check its cable, its capsule and its power"),
        .. check.Doubled.Select(d => $"channels {array.Channels[d.A]} and {array.Channels[d.B]} carry one signal: one input is routed to both, or a cable is split"),
    ];

    private static void SayInverted(int[] sign, ArrayEntry array, List<string> problems)
    {
        var inverted = Enumerable.Range(0, sign.Length).Where(c => sign[c] < 0).Select(c => array.Channels[c]).ToList();
        if (inverted.Count == 1)
            problems.Add($"channel {inverted[0]} is inverted against the other three: mend its cable");
        else if (inverted.Count == 2)
            problems.Add($"channels {string.Join(" and ", inverted)} are inverted against the other two; which pair is the wrong one cannot be told from this");
    }

    // Each exchange puts one capsule where it belongs: at most three cables are moved.
    private static void SaySwaps(int[] capsule, ArrayEntry array, List<string> problems)
    {
        var now = (int[])capsule.Clone();
        for (var c = 0; c < now.Length; c++)
        {
            if (now[c] == c)
                continue;
            var other = Array.IndexOf(now, c);
            problems.Add($"channel {array.Channels[c]} carries {array.Capsules[now[c]].Label} in place of {array.Capsules[c].Label}: swap the cables of channels {array.Channels[c]} and {array.Channels[other]}");
            (now[c], now[other]) = (now[other], now[c]);
        }
    }

    private static List<string> Labels(ArrayEntry array) => [.. array.Capsules.Select(c => c.Label)];
}
