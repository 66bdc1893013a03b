using CaptureProc.Dsp.LineUp;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>The line-up of one instance of the array plug-in: listening, judging, keeping.</summary>
/// <remarks>
/// Thread: Hear and Show [audio]; the rest [main] or the shared worker, under the effect's gate.
/// Memory is taken when the line-up is switched on and let go when it is off; what it measured stays until the next one begins.
/// The audio thread only gathers (transforms and sums, spread over the blocks); gains and verdicts are worked out by the worker.
/// A stopped transport does not end a line-up: the noise may come from a recording that is stopped between the channels.
/// </remarks>
internal sealed class ArrayLineUp
{
    /// <summary>No converter keeps its gain better than this: what `level` states as well.</summary>
    private const double LeastUncertaintyDb = 0.001;

    private readonly LineUpBoard board = new();
    private volatile LineUpListening? listening;
    private LineUpFindings? findings;
    private double toleranceDb;

    /// <summary>The set that was kept; null where none was.</summary>
    public TrimSet? Kept { get; private set; }

    /// <summary>Hears the raw inputs of a block, before any trim. [audio]</summary>
    public void Hear(ReadOnlyPlanarSpan input) => listening?.Hear(input);

    /// <summary>Shows how it stands; once a block. [audio]</summary>
    public void Show(MeterBank meters) => board.Show(meters);

    /// <summary>The same where no block is needed. [any]</summary>
    public void Show(EffectHost host) => board.Show(host);

    /// <summary>Begins or ends it, and begins it anew at another rate.</summary>
    public void Follow(bool isOn, double sampleRateHz)
    {
        if (isOn && listening?.SampleRateHz != sampleRateHz)
        {
            var next = new LineUpListening(sampleRateHz);
            findings = new LineUpFindings(next.Bands, LineUpParameters.Channels);
            board.Clear();
            listening = next;
        }
        else if (!isOn && listening is not null)
        {
            listening = null;
            board.SwitchOff();
        }
    }

    /// <summary>Judges what has been heard since the last time.</summary>
    public void Read(int reference, double tolerance)
    {
        if (listening is not { } ear || ear.TryTake() is not { } record)
            return;
        toleranceDb = tolerance;
        findings!.Read(record, reference);
        board.Put(record, findings, reference, tolerance);
        ear.GiveBack();
    }

    /// <summary>Keeps the trims of what has been measured; false where that is no line-up yet, and what was kept before stays.</summary>
    public bool TryKeep()
    {
        if (findings is { HasTrims: true } found)
        {
            var gains = Enumerable.Range(0, LineUpParameters.Channels).Select(found.Gain).ToList();
            Restore(LineUpTrims.Set(LineUpTrims.UsualName, LineUpTrims.FromPinkNoise, gains.Select(g => -g.Db), gains.Select(g => g.UncertaintyDb > 0 ? Math.Max(g.UncertaintyDb, LeastUncertaintyDb) : 0), toleranceDb));
            return true;
        }
        Tell(findings is { IsRoom: true } ? LineUpOutcome.Room : findings is { IsAnyClipped: true } ? LineUpOutcome.Clipped : LineUpOutcome.NotMeasured);
        return false;
    }

    /// <summary>Takes back what a project kept.</summary>
    public void Restore(TrimSet? kept)
    {
        Kept = kept;
        board.PutKept(kept);
    }

    /// <summary>Says what became of a request. [any]</summary>
    public void Tell(LineUpOutcome outcome) => board.Put(outcome);
}
