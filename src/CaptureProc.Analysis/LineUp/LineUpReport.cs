using CaptureProc.Dsp.LineUp;

namespace CaptureProc.Analysis.LineUp;

/// <summary>What the line-up says about one channel.</summary>
/// <param name="Channel">Channel of the recording, counted from 1.</param>
/// <param name="LevelDbfs">RMS while it carried the noise, a full-scale sine reading 0; negative infinity where it never did.</param>
/// <param name="Gain">Gain over the reference channel.</param>
/// <param name="PeakDbfs">Largest sample.</param>
/// <param name="CrestDb">Peak over RMS.</param>
/// <param name="SlopeDbPerOctave">Of the noise's power density; −3.01 is pink.</param>
/// <param name="Problems">What is wrong, one sentence each.</param>
public sealed record ChannelLineUp(
    int Channel, double LevelDbfs, GainDifference Gain, double PeakDbfs, double CrestDb, double SlopeDbPerOctave, IReadOnlyList<string> Problems)
{
    /// <summary>The dB to add to the channel.</summary>
    public double TrimDb => Gain.Way == LineUpWay.None ? 0 : -Gain.Db + 0.0;
}

/// <summary>The result of a line-up.</summary>
/// <param name="Reference">The reference channel, counted from 1.</param>
/// <param name="ToleranceDb">Largest difference that passes.</param>
/// <param name="Channels">One entry a channel of the array, in its order.</param>
/// <param name="IsRoom">The recording is that of a microphone in a room, so nothing was derived from it.</param>
/// <param name="Problems">What is wrong with the recording as a whole.</param>
/// <param name="Notes">What a person should know, and what is no fault.</param>
public sealed record LineUpReport(
    int Reference, double ToleranceDb, IReadOnlyList<ChannelLineUp> Channels, bool IsRoom, IReadOnlyList<string> Problems, IReadOnlyList<string> Notes)
{
    // Common practice, no source.
    private const double ConverterDb = 0.001;

    /// <summary>A channel without a usable gain spoils the set: half a line-up is none.</summary>
    public bool HasTrims { get; init; }

    /// <summary>Whether a channel's trim means something: known to the tolerance, or surely out of it.</summary>
    public bool IsTold(ChannelLineUp channel) => channel.Channel == Reference
        || channel.Gain.Way != LineUpWay.None && (channel.Gain.UncertaintyDb <= ToleranceDb || channel.Gain.Judge(ToleranceDb) == ToleranceVerdict.Out);

    /// <summary>The uncertainty to keep and to print: what two real converters differ by is not known better than a thousandth of a dB.</summary>
    public double UncertaintyDb(ChannelLineUp channel) => channel.Channel == Reference || channel.Gain.Way == LineUpWay.None
        ? channel.Gain.UncertaintyDb
        : Math.Max(channel.Gain.UncertaintyDb, ConverterDb);

    /// <summary>Whether there is anything worth keeping: a channel beside the reference whose trim is told.</summary>
    public bool IsWorthKeeping => HasTrims && Channels.Any(c => c.Channel != Reference && IsTold(c));

    /// <summary>The trims to keep: a channel whose gain is not told stays as it was recorded.</summary>
    public IEnumerable<double> TrimsToKeepDb => Channels.Select(c => IsTold(c) ? c.TrimDb : 0);

    /// <summary>Within where every channel is, out where one is, else not to be told yet.</summary>
    public ToleranceVerdict Verdict
    {
        get
        {
            if (!HasTrims)
                return ToleranceVerdict.CannotTell;
            var verdicts = Channels.Select(c => c.Gain.Judge(ToleranceDb)).ToList();
            return verdicts.Contains(ToleranceVerdict.Out) ? ToleranceVerdict.Out
                : verdicts.Contains(ToleranceVerdict.CannotTell) ? ToleranceVerdict.CannotTell
                : ToleranceVerdict.Within;
        }
    }

    public bool HasProblems => Problems.Count > 0 || Channels.Any(c => c.Problems.Count > 0);
}
