using CaptureProc.Dsp.LineUp;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.LineUp.LineUpParameters;

namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>The line-up as numbers for the host's panel: written off the audio thread, passed on by it.</summary>
/// <remarks>Thread: Show [audio], the rest one at a time elsewhere. Allocates: in the constructor only.</remarks>
internal sealed class LineUpBoard
{
    private readonly double[] shown = new double[ShownCount];

    /// <summary>Shows everything; once a block. [audio]</summary>
    public void Show(MeterBank meters)
    {
        for (var i = 0; i < ShownCount; i++)
            meters.Set(FirstShown + i, Volatile.Read(ref shown[i]));
    }

    /// <summary>The same where no block is needed. [any]</summary>
    public void Show(EffectHost host)
    {
        for (var i = 0; i < ShownCount; i++)
            host.Show(FirstShown + i, Volatile.Read(ref shown[i]));
    }

    /// <summary>A line-up begins: nothing has been heard.</summary>
    public void Clear()
    {
        for (var channel = 0; channel < Channels; channel++)
        {
            Put(Difference + channel, 0);
            Put(Uncertainty + channel, 0);
            Put(Verdict + channel, (int)LineUpVerdict.NotMeasured);
        }
        Put(State, (int)LineUpState.NoSignal);
        Put(FedNow, 0);
    }

    /// <summary>Nobody listens any more; what was measured stays to be read.</summary>
    public void SwitchOff()
    {
        Put(State, (int)LineUpState.Off);
        Put(FedNow, 0);
    }

    public void Put(LineUpRecord record, LineUpFindings findings, int reference, double toleranceDb)
    {
        for (var channel = 0; channel < Channels; channel++)
        {
            var gain = findings.Gain(channel);
            Put(Difference + channel, gain.Db);
            Put(Uncertainty + channel, gain.UncertaintyDb);
            Put(Verdict + channel, (int)VerdictOf(record, findings, channel, reference, toleranceDb));
        }
        Put(State, (int)StateOf(record, findings, toleranceDb));
        Put(FedNow, record.Carrying);
    }

    public void Put(LineUpOutcome outcome) => Put(Outcome, (int)outcome);

    public void PutKept(TrimSet? kept)
    {
        for (var channel = 0; channel < Channels; channel++)
            Put(KeptTrim + channel, kept?.Db[channel] ?? 0);
        Put(kept is null ? LineUpOutcome.NothingKept : LineUpOutcome.Kept);
    }

    private void Put(int parameter, double plain) => Volatile.Write(ref shown[parameter - FirstShown], plain);

    private static LineUpState StateOf(LineUpRecord record, LineUpFindings findings, double toleranceDb)
    {
        if (findings.IsRoom)
            return LineUpState.Room;
        if (findings.Together != 0 && findings.Nature == Nature.SeparateNoises)
            return LineUpState.SeparateNoises;
        if (findings.IsAnyClipped)
            return LineUpState.Clipped;
        if (!findings.HasTrims)
            return record.Carrying == 0 ? LineUpState.NoSignal : LineUpState.Listening;
        return findings.Judge(toleranceDb) switch
        {
            ToleranceVerdict.Within => LineUpState.Within,
            ToleranceVerdict.Out => LineUpState.Out,
            _ => LineUpState.CannotTell,
        };
    }

    private static LineUpVerdict VerdictOf(LineUpRecord record, LineUpFindings findings, int channel, int reference, double toleranceDb)
    {
        var gain = findings.Gain(channel);
        if (findings.IsRoom)
            return LineUpVerdict.NotMeasured;
        if (findings.IsClipped(channel))
            return LineUpVerdict.Clipped;
        if (!findings.IsFed(channel) && record.LoudestDbfs[channel] <= LineUpMeter.QuietDbfs)
            return LineUpVerdict.NoSignal;
        if (!findings.IsFed(channel) || gain.Way == LineUpWay.None)
            return LineUpVerdict.NotMeasured;
        if (channel == reference)
            return LineUpVerdict.Reference;
        return gain.Judge(toleranceDb) switch
        {
            ToleranceVerdict.Within => gain.IsInverted ? LineUpVerdict.WithinInverted : LineUpVerdict.Within,
            ToleranceVerdict.Out => gain.IsInverted ? LineUpVerdict.OutInverted : LineUpVerdict.Out,
            _ => LineUpVerdict.CannotTell,
        };
    }
}
