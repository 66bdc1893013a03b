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

    // A sound that no single direction explains to this share is no clap at a distance: reflections and unlike capsules leave a tenth.
    private const double MostUnexplained = 0.35;

    // Sounds of one pair of hands; what is so much weaker than the weakest of them was meant otherwise.
    private const double ApartDb = 10;

    /// <summary>From claps in stated directions, in the order in which they were made.</summary>
    /// <param name="channels">The array's four channels.</param>
    /// <param name="sampleRateHz">Their rate.</param>
    /// <param name="array">The array.</param>
    /// <param name="speedOfSoundMps">Of the air.</param>
    /// <param name="directions">Where each clap was made.</param>
    /// <param name="atSeconds">When; null = the sudden sounds of the recording, of which there have to be as many.</param>
    public static PatchReport FromClaps(
        float[][] channels, double sampleRateHz, ArrayEntry array, double speedOfSoundMps, IReadOnlyList<Direction> directions, IReadOnlyList<double>? atSeconds = null)
    {
        ArgumentNullException.ThrowIfNull(array);
        if (Sounds(channels, sampleRateHz, atSeconds, directions.Count, "claps", "clap once from each direction, louder, half a second or more apart", out var problem) is not { } sounds)
            return Unheard(channels, sampleRateHz, array, problem);
        var capsules = array.ToCapsuleArray();
        var signs = new TapSigns(capsules, sampleRateHz, speedOfSoundMps);
        if (sounds.TrueForAll(s => TapSigns.LeadDb(signs.LevelsDb(s)) > signs.SureLeadDb))
            return Unheard(channels, sampleRateHz, array,
                "these are no claps at a distance: each is loud in one capsule alone, as taps are; leave --claps out, or clap a metre or more away");
        var weights = ClapWeights.Of(sounds, directions, capsules, sampleRateHz, speedOfSoundMps);
        for (var i = 0; i < sounds.Count; i++)
            if (weights.Unexplained[i] > MostUnexplained)
                return Unheard(channels, sampleRateHz, array,
                    $"the sound at {At(sounds[i], sampleRateHz)} comes from no one direction, so it is no clap of one person; clap once from each direction into silence");
        var posterior = PatchLikelihood.Posterior(weights.LogLikelihood, weights.LogLikelihoodElsewhere, out var elsewhere);
        return elsewhere > 1 - SureFrom
            ? Unheard(channels, sampleRateHz, array, Elsewhere(weights, directions, array, elsewhere))
            : Weigh(channels, sampleRateHz, array, posterior);
    }

    /// <summary>From short noises close to each capsule in turn.</summary>
    /// <param name="channels">The array's four channels.</param>
    /// <param name="sampleRateHz">Their rate.</param>
    /// <param name="array">The array.</param>
    /// <param name="capsules">Index into the array's capsules of each tap.</param>
    /// <param name="speedOfSoundMps">Of the air.</param>
    /// <param name="atSeconds">When; null = the sudden sounds of the recording, of which there have to be as many.</param>
    public static PatchReport FromTaps(
        float[][] channels, double sampleRateHz, ArrayEntry array, IReadOnlyList<int> capsules, double speedOfSoundMps = 343.2, IReadOnlyList<double>? atSeconds = null)
    {
        ArgumentNullException.ThrowIfNull(array);
        var signs = new TapSigns(array.ToCapsuleArray(), sampleRateHz, speedOfSoundMps);
        const string Again = "make one short noise close to each capsule, half a second or more apart";
        if (Sounds(channels, sampleRateHz, atSeconds, capsules.Count, "taps", Again, out var problem) is not { } sounds)
            return Unheard(channels, sampleRateHz, array, problem);
        var levels = signs.WithoutGains(sounds);
        var posterior = PatchLikelihood.Posterior(PatchLikelihood.OfTaps(levels, capsules), null, out _);
        var order = PatchLikelihood.All[Array.IndexOf(posterior, posterior.Max())].Capsule;
        for (var tap = 0; tap < sounds.Count; tap++)
        {
            var channel = Array.IndexOf(order, capsules[tap]);
            var leadDb = levels[tap][channel] - levels[tap].Where((_, c) => c != channel).Max();
            if (leadDb < signs.LeastLeadDb || !signs.IsFirst(sounds[tap], channel))
                return Unheard(channels, sampleRateHz, array, NoTap(sounds[tap], leadDb, signs, sampleRateHz, Again));
        }
        return Weigh(channels, sampleRateHz, array, posterior, order => TapPolarity.Of(sounds, [.. capsules.Select(k => Array.IndexOf(order, k))], sampleRateHz));
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

    // The sounds that were meant; null where it cannot be told which, and the reason.
    private static List<SuddenSound>? Sounds(
        float[][] channels, double sampleRateHz, IReadOnlyList<double>? atSeconds, int count, string what, string again, out string problem)
    {
        problem = "";
        if (atSeconds is not null)
        {
            var given = SuddenSounds.Find(channels, sampleRateHz, atSeconds);
            if (given.Count == count)
                return given;
            problem = $"{count} {what} are asked for, but only {given.Count} are heard at the times that are given; give one time for each";
            return null;
        }
        var sounds = SuddenSounds.Find(channels, sampleRateHz);
        var strengths = sounds.Select(s => s.StrengthDb).OrderDescending().ToList();
        if (sounds.Count < count)
        {
            problem = $"{count} {what} are asked for, but only {sounds.Count} are heard; {again}";
            return null;
        }
        var alike = sounds.FindAll(s => s.StrengthDb > strengths[count - 1] - ApartDb);
        if (alike.Count == count)
            return alike;
        problem = $"{count} {what} are asked for, but {alike.Count} sudden sounds of like strength are heard ({string.Join(", ", alike.Take(12).Select(s => At(s, sampleRateHz)))}{(alike.Count > 12 ? " …" : "")}); say with --at which ones are meant, or record nothing else";
        return null;
    }

    private static string NoTap(SuddenSound sound, double leadDb, TapSigns signs, double sampleRateHz, string again) => leadDb < signs.LeastLeadDb
        ? FormattableString.Invariant($"the sound at {At(sound, sampleRateHz)} is no tap near one capsule: the loudest channel leads by {Math.Max(0, leadDb):0.0} dB, where a tap leads by {signs.LeastLeadDb:0.0} dB and more. For claps at a distance say from where they come, with --claps; else {again}")
        : $"the sound at {At(sound, sampleRateHz)} is no tap near one capsule: the loudest channel does not hear it first; {again}";

    private static string Elsewhere(ClapWeights weights, IReadOnlyList<Direction> stated, ArrayEntry array, double probability)
    {
        var heard = string.Join(", ", weights.HeardFrom.Select(d => FormattableString.Invariant($"{d.AzimuthDeg:0}:{d.ElevationDeg:0}")));
        var text = FormattableString.Invariant($"the claps do not come from where they are said to (probability {probability:0.00}): with the cables in place they would come from {heard} (azimuth:elevation)");
        foreach (var turn in TurnedMicrophone.SquareTurns())
            if (stated.Zip(weights.HeardFrom).All(p => Direction.AngleBetweenDeg(turn.Apply(p.Second), p.First) < 20))
                return $"{text}. Look at the microphone: it may be that it {TurnedMicrophone.InWords(TurnedMicrophone.Mount(array.Mount, turn))}; then set its mount. Else check the directions";
        return $"{text}; check the directions, and that there are no other claps in the recording";
    }

    private static string At(SuddenSound sound, double sampleRateHz) => FormattableString.Invariant($"{sound.StartFrame / sampleRateHz:0.00} s");

    // Claps weigh order and polarity together; taps weigh the order alone, and the signs are asked for when the order is known.
    private static PatchReport Weigh(float[][] channels, double sampleRateHz, ArrayEntry array, double[] posterior, Func<int[], int[]?>? signOfOrder = null)
    {
        var check = Check(channels, sampleRateHz, array);
        var problems = Problems(check, array);
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
        SayOrder(best.Capsule, array, problems);
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

    private static void SayOrder(int[] capsule, ArrayEntry array, List<string> problems)
    {
        if (capsule.Index().All(c => c.Index == c.Item))
            return;
        // Nobody exchanges three cables by mistake as easily as a microphone is hung head down.
        if (TurnedMicrophone.Find(array.ToCapsuleArray().LookDirections(), capsule) is { } turn)
            problems.Add($"look at the microphone first: with every cable in its place, it sounds as it does where it {TurnedMicrophone.InWords(TurnedMicrophone.Mount(array.Mount, turn))}; if so, set its mount in the session and leave the cables. "
                + $"Only if it is mounted as the session says, cables are exchanged: {string.Join("; ", Swaps(capsule, array))}");
        else
            problems.AddRange(Swaps(capsule, array));
    }

    // Each exchange puts one capsule where it belongs: at most three cables are moved.
    private static IEnumerable<string> Swaps(int[] capsule, ArrayEntry array)
    {
        var now = (int[])capsule.Clone();
        for (var c = 0; c < now.Length; c++)
        {
            if (now[c] == c)
                continue;
            var other = Array.IndexOf(now, c);
            yield return $"channel {array.Channels[c]} carries {array.Capsules[now[c]].Label} in place of {array.Capsules[c].Label}: swap the cables of channels {array.Channels[c]} and {array.Channels[other]}";
            (now[c], now[other]) = (now[other], now[c]);
        }
    }

    private static List<string> Labels(ArrayEntry array) => [.. array.Capsules.Select(c => c.Label)];
}
