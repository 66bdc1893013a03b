using System.Globalization;
using CaptureProc.Dsp.LineUp;

namespace CaptureProc.Analysis.LineUp;

/// <summary>From what was heard to what is said: gains, verdicts, and every fault that a line-up is known to hide.</summary>
/// <remarks>Thread: [any].</remarks>
public static partial class LineUpAnalysis
{
    /// <summary>The level that the noise is usually fed at.</summary>
    public const double UsualLevelDbfs = -12;

    private const double FarFromUsualDb = 6;
    private const double LeastHeadroomDb = 0.3;
    private const double NotPinkDbPerOctave = 0.3;
    private const double NotPinkBandDb = 1.5;

    // Two roundings to 24 bits leave 1 − coherence near 1e-13; amplifiers leave a thousand times that and more.
    private const double SameSamples = 1e-11;

    private const string RoomProblem =
        "this is a microphone in a room, not a signal through cables (or the channels are not in time with each other): capsules hear different levels because they look in different directions, and matching those would destroy the image. "
        + "Nothing is changed. Line up with the noise fed into the inputs; or, with applause or room noise from all round, ask for --diffuse";

    private const string NoSignal = "no signal";
    private const string Clipped = "clipped";

    /// <param name="heard">The recording.</param>
    /// <param name="channels">The array's channels, counted from 1.</param>
    /// <param name="reference">Index of the reference among them.</param>
    /// <param name="toleranceDb">Largest difference that passes.</param>
    public static LineUpReport Report(LineUpListener heard, IReadOnlyList<int> channels, int reference, double toleranceDb)
    {
        ArgumentNullException.ThrowIfNull(heard);
        var record = heard.Record;
        var (problems, notes) = (new List<string>(), new List<string>());
        var findings = new LineUpFindings(record.Bands, channels.Count);
        findings.Read(record, reference);
        var isRoom = findings.IsRoom;
        var bursts = findings.HasTrims ? 0 : heard.BurstCount;
        if (bursts > 0)
            problems.Add(Inv($"there {(bursts == 1 ? "is one clap or tap" : $"are {bursts} claps or taps")} in this recording and no noise that lasts, so nothing can be said of gains or cables: feed pink noise to the inputs; claps at the spots are for 'measure', taps and claps around the array for 'patch'"));
        else if (isRoom)
            problems.Add(RoomProblem);
        else if (findings.Together != 0 && findings.Nature == Nature.SeparateNoises)
            problems.Add("each channel carries a noise of its own, so their gains cannot be compared; feed one noise to all of them, or move it from one to the next");

        var soloChannels = Enumerable.Range(0, channels.Count).Where(c => record.Solo(c).Feed.HopCount >= LineUpEstimator.MinHops).ToList();
        var faults = channels.Select(_ => new List<string>()).ToArray();
        if (!isRoom && bursts == 0)
        {
            FindUnfed(heard, channels, findings, faults, problems);
            FindSpectrumFaults(heard, findings, soloChannels, toleranceDb, faults, problems);
            FindDoubled(record, channels, findings.Together, problems, notes);
        }
        FindClipped(record, findings, faults, notes);
        if (bursts == 0)
        {
            FindRestless(record, channels, findings.Together, faults, notes);
            NoteOrder(record, channels, findings.Together, soloChannels, notes);
        }

        var reports = channels.Select((number, c) => Channel(record, findings, c, number, faults[c])).ToList();
        return new LineUpReport(channels[reference], toleranceDb, reports, isRoom, problems, notes)
        {
            HasTrims = findings.HasTrims,
        };
    }

    private static ChannelLineUp Channel(LineUpRecord record, LineUpFindings findings, int channel, int number, List<string> faults)
    {
        var (feed, gain, isRoom) = (findings.FeedOf(record, channel), findings.Gain(channel), findings.IsRoom);
        if (feed.HopCount == 0)
            return new ChannelLineUp(number, double.NegativeInfinity, gain, double.NegativeInfinity, double.NaN, double.NaN, faults);
        var levelDbfs = 10 * Math.Log10(2 * feed.MeanSquare[channel] / feed.HopCount);
        var peakDbfs = 20 * Math.Log10(feed.Peak[channel]);
        // RMS relative to full scale lies 3.01 dB below the level, since a full-scale sine reads 0.
        var crestDb = peakDbfs - levelDbfs + 10 * Math.Log10(2);
        if (!isRoom && Math.Abs(levelDbfs - UsualLevelDbfs) > FarFromUsualDb)
            faults.Add(Inv($"the level is {levelDbfs:0.0} dBFS, far from {UsualLevelDbfs:0}; set the noise nearer to it and measure again"));
        if (!isRoom && peakDbfs > -LeastHeadroomDb && !faults.Exists(f => f.StartsWith(Clipped, StringComparison.Ordinal)))
            faults.Add(Inv($"headroom too small: the peaks of the noise (crest factor {crestDb:0.0} dB) come within {-peakDbfs:0.0} dB of full scale, and those of players go higher; turn down"));
        return new ChannelLineUp(number, levelDbfs, gain, peakDbfs, crestDb, NoiseSpectrum.Of(record.Bands, feed, channel).SlopeDbPerOctave, faults);
    }

    private static string Inv(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
