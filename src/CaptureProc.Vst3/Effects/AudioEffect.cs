using CaptureProc.Vst3.Views;

namespace CaptureProc.Vst3.Effects;

/// <summary>What the author of a plug-in writes: one instance of an effect.</summary>
/// <remarks>
/// Threads: [main] may allocate, wait and throw; [audio] may not, ever, and nothing there may be slow.
/// A host may call [main] members while another thread is in Process; <see cref="Prepare"/> is the exception, it never runs
/// beside Process or Reset.
/// An exception that leaves any member is caught by the binding and becomes a result code; from Process it also becomes silence.
/// </remarks>
public abstract class AudioEffect
{
    /// <summary>The values of the parameters and the way back to the host. Set before anything else is called.</summary>
    public EffectHost Host { get; internal set; } = null!;

    /// <summary>Frames by which the output is late; constant from Prepare to Prepare, and right before the first one. [any]</summary>
    public abstract int LatencyFrames { get; }

    /// <summary>Frames of sound after the input has ended, the latency not counted. [any]</summary>
    public virtual uint TailFrames => 0;

    /// <summary>Host is there from now on. [main]</summary>
    public virtual void OnOpened()
    {
    }

    /// <summary>Allocates everything that Process needs. Called again whenever rate or block length change. [main]</summary>
    public abstract void Prepare(double sampleRateHz, int maxBlockFrames);

    /// <summary>Forgets all signal: the next block is as after Prepare. [audio]</summary>
    public abstract void Reset();

    /// <summary>One block of 1…maxBlockFrames frames. [audio]</summary>
    public abstract void Process(in AudioBlock block);

    /// <summary>A parameter has been set by the user or the host outside the audio thread; its new value is in Host. [main]</summary>
    public virtual void OnEdited(int parameter)
    {
    }

    /// <summary>What the state holds beside the parameter values. [main]</summary>
    public virtual byte[] SaveExtra() => [];

    /// <summary>Takes back what SaveExtra gave, or nothing when the state has none. The values are in Host already. [main]</summary>
    public virtual void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
    }

    /// <summary>The text of a value that only this instance can name (empty for none), or null to leave it to the table. [main]</summary>
    public virtual string? TextOf(int parameter, double plain) => null;

    /// <summary>A new window, or null to leave it to the host's own panel. It ends before the instance does. [main]</summary>
    public virtual EffectView? CreateView() => null;

    /// <summary>The host lets go of the instance; nothing is called afterwards. [main]</summary>
    public virtual void OnClosed()
    {
    }
}
