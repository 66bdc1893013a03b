using CaptureProc.Dsp.LineUp;

namespace CaptureProc.Analysis.LineUp;

// What is known to go wrong in a line-up, and how it is said: what, where, and what to do.
public static partial class LineUpAnalysis
{
    private static void FindUnfed(LineUpListener heard, IReadOnlyList<int> channels, LineUpFindings findings, List<string>[] faults, List<string> problems)
    {
        var record = heard.Record;
        var fedDbfs = record.LoudestDbfs.Take(channels.Count).Max();
        var strays = heard.StrayLevelsDbfs.Select((db, i) => (Db: db, Number: i + 1)).Where(s => s.Db > Math.Max(LineUpMeter.QuietDbfs, fedDbfs - 12)).ToList();
        var unfed = Enumerable.Range(0, channels.Count).Where(c => !findings.IsFed(c)).ToList();
        foreach (var c in unfed)
            faults[c].Add(record.LoudestDbfs[c] > LineUpMeter.QuietDbfs
                ? Inv($"{NoSignal} that lasts: the noise was there for less than {(LineUpEstimator.MinHops + 5) * record.HopSeconds:0.0} s by itself or with all others; feed it longer")
                : $"{NoSignal}: linked gain is no proof, feed this input itself");
        if (unfed.Count > 0 && strays.Count > 0)
            problems.Add($"channel {strays[0].Number} carries the noise, but it is none of the array's; the cable meant for channel {string.Join(" or ", unfed.Select(c => channels[c]))} is in the wrong input");
    }

    private static void FindSpectrumFaults(LineUpListener heard, LineUpFindings findings, List<int> soloChannels, double toleranceDb,
        List<string>[] faults, List<string> problems)
    {
        var (record, together) = (heard.Record, findings.Together);
        var atOnce = Enumerable.Range(0, faults.Length).Where(c => HopStatistics.Has(together, c)).ToList();
        var fed = atOnce.Count > 2 ? atOnce : soloChannels;
        if (fed.Count > 2 && fed.TrueForAll(c => findings.Gain(c).Way != LineUpWay.None))
        {
            var response = atOnce.Count > 2 ? ChannelResponse.AtOnce(record.Bands, record.Feed(together), fed) : ChannelResponse.InTurn(record, fed);
            for (var i = 0; i < fed.Count; i++)
                if (response.Problem(i, toleranceDb) is { } problem)
                    faults[fed[i]].Add(problem);
        }

        // A strong hum stands out of the pink as well: what it is comes first.
        FindHum(heard, findings, atOnce, soloChannels, faults);
        var spectra = fed.Select(c => NoiseSpectrum.Of(record.Bands, findings.FeedOf(record, c), c)).ToList();
        var coloured = fed.Where((_, i) => IsColoured(spectra[i])).ToList();
        if (coloured.Count > 0 && coloured.Count == fed.Count)
            problems.Add($"the noise is not pink: {Colour(spectra[0])}; check the generator and its filters");
        else
            foreach (var c in coloured)
                if (faults[c].Count == 0)
                    faults[c].Add($"the noise is not pink here: {Colour(spectra[fed.IndexOf(c)])}");

        foreach (var c in atOnce.Where(c => findings.Gain(c).IsInverted))
            faults[c].Add("inverted against the reference: mend the cable, or set its polarity in the session");
    }

    private static void FindHum(LineUpListener heard, LineUpFindings findings, List<int> atOnce, List<int> soloChannels, List<string>[] faults)
    {
        var record = heard.Record;
        if (atOnce.Count > 2)
        {
            var feed = record.Feed(findings.Together);
            var linear = atOnce.Select(c => Math.Pow(10, findings.Gain(c).Db / 20) * (findings.Gain(c).IsInverted ? -1 : 1)).ToList();
            Say(atOnce, HumFinder.Find([.. atOnce.Select(c => heard.LowEnd(c, feed.FirstIndex, feed.LastIndex))], linear, heard.LowRateHz));
            return;
        }
        foreach (var c in soloChannels)
        {
            var feed = record.Solo(c).Feed;
            // A channel that was fed several times is looked at where it was fed last, without a gap.
            var from = Math.Max(feed.FirstIndex, feed.LastIndex - record.Solo(c).History.Count + 1);
            Say([c], HumFinder.Find([heard.LowEnd(c, from, feed.LastIndex)], [1], heard.LowRateHz));
        }

        void Say(IReadOnlyList<int> who, Hum?[] hums)
        {
            for (var i = 0; i < who.Count; i++)
                if (hums[i] is { } hum)
                    faults[who[i]].Add(Inv($"hum of {hum.FundamentalHz:0} Hz and its multiples at {hum.LevelDbfs:0} dBFS: look for a broken screen or a loop"));
        }
    }

    private static bool IsColoured(NoiseSpectrum s) =>
        Math.Abs(s.SlopeDbPerOctave + 10 * Math.Log10(2)) > NotPinkDbPerOctave + 3 * s.SlopeUncertaintyDb || Math.Abs(s.WorstDb) > NotPinkBandDb;

    private static string Colour(NoiseSpectrum s) => Math.Abs(s.SlopeDbPerOctave + 10 * Math.Log10(2)) > NotPinkDbPerOctave
        ? Inv($"it changes by {s.SlopeDbPerOctave:+0.00;-0.00;0.00} dB an octave, not by -3.01")
        : Inv($"it is {s.WorstDb:+0.0;-0.0;0.0} dB off at {s.WorstHz:0} Hz");

    private static void FindDoubled(LineUpRecord record, IReadOnlyList<int> channels, int together, List<string> problems, List<string> notes)
    {
        // Two channels that carry the noise while no other does, in a line-up that is moved from one to the next.
        for (var mask = 1; mask < 1 << channels.Count; mask++)
        {
            if (int.PopCount(mask) != 2 || record.Feed(mask).HopCount < LineUpEstimator.MinHops)
                continue;
            var (i, j) = (int.TrailingZeroCount(mask), int.Log2(mask));
            if (Incoherence(record.Feed(mask), i, j) < 0.01)
                problems.Add($"channels {channels[i]} and {channels[j]} carry one signal: one input is routed to both, or a cable is split");
        }
        if (together == 0)
            return;
        var fed = Enumerable.Range(0, channels.Count).Where(c => HopStatistics.Has(together, c)).ToList();
        var pairs = fed.SelectMany(i => fed.Where(j => j > i).Select(j => (I: i, J: j, Incoherence: Incoherence(record.Feed(together), i, j)))).ToList();
        // Amplifiers always differ: where others do and these do not, one input feeds them.
        var isFault = pairs.Exists(p => p.Incoherence > 10 * SameSamples);
        var told = new HashSet<int>();
        foreach (var i in fed)
        {
            var same = pairs.Where(p => p.I == i && p.Incoherence < SameSamples).Select(p => p.J).Prepend(i).Where(told.Add).ToList();
            if (same.Count < 2)
                continue;
            var text = $"channels {Listed(same.Select(c => channels[c]))} are the same to the last bit";
            if (isFault)
                problems.Add($"{text}, which amplifiers never are: they carry one signal");
            else
                notes.Add($"{text}: amplifiers never are, so unless this is a test file, one input feeds them all");
        }
    }

    private static string Listed(IEnumerable<int> numbers) => numbers.ToList() is [.. var first, var last] ? $"{string.Join(", ", first)} and {last}" : "";

    private static double Incoherence(FeedRecord feed, int i, int j)
    {
        var cross = feed.Total[HopStatistics.Pair(i, j)];
        return 1 - cross * cross / (feed.Total[HopStatistics.Pair(i, i)] * feed.Total[HopStatistics.Pair(j, j)]);
    }

    private static void FindClipped(LineUpRecord record, LineUpFindings findings, List<string>[] faults, List<string> notes)
    {
        // Generators clip to bound the crest factor, and then the flat tops are everywhere.
        if (findings.IsClippedByGenerator)
            notes.Add("the tops of the noise are flat on every channel: the generator bounds its crest factor by clipping");
        for (var c = 0; c < faults.Length; c++)
        {
            var feed = findings.FeedOf(record, c);
            if (findings.IsClipped(c))
                faults[c].Add(Inv($"{Clipped}: {feed.FlatTops[c]} flat tops at {20 * Math.Log10(feed.Peak[c]):0.0} dBFS; turn down and measure again"));
        }
    }

    private static void FindRestless(LineUpRecord record, IReadOnlyList<int> channels, int together, List<string>[] faults, List<string> notes)
    {
        if (together != 0 && record.Feed(together).Restarts > 0)
            notes.Add(Inv($"gains were moved while the noise ran; the last {record.Feed(together).HopCount * record.HopSeconds:0.0} s count"));
        for (var c = 0; c < channels.Count; c++)
        {
            if (HopStatistics.Has(together, c))
                continue;
            var feed = record.Solo(c).Feed;
            if (feed.Restarts > 2)
                faults[c].Add("the level keeps changing: this is no steady noise, or somebody is at the gain");
            else if (feed.Restarts > 0)
                notes.Add(Inv($"the gain of channel {channels[c]} was moved while the noise ran; the last {feed.HopCount * record.HopSeconds:0.0} s count"));
        }
    }

    private static void NoteOrder(LineUpRecord record, IReadOnlyList<int> channels, int together, List<int> soloChannels, List<string> notes)
    {
        if (together != 0 || soloChannels.Count < 2)
            return;
        var order = soloChannels.OrderBy(c => record.Solo(c).Feed.FirstIndex).ToList();
        if (!order.SequenceEqual(order.Order()))
            notes.Add($"the noise came to channels {string.Join(", ", order.Select(c => channels[c]))} in this order; if it was fed to them as they count, cables are exchanged");
    }
}
