using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>What a prepared filter says about itself.</summary>
public interface IPreparedFilter
{
    int Outputs { get; }

    int Inputs { get; }

    int TapCount { get; }

    int LatencyFrames { get; }
}

/// <summary>The filter that is playing, the one before it while that is faded out, and the way for the next one.</summary>
/// <remarks>
/// Thread: Publish [main]; everything else [audio]. Allocates: in the constructor and in Publish only.
/// A filter that arrives during a fade waits until the fade is over; of several, the last one counts. Channels and latency
/// are the same for life and the length is bounded, so that a change is never more than other numbers.
/// </remarks>
internal sealed class FilterHandover<TFilter>
    where TFilter : class, IPreparedFilter
{
    /// <summary>About 20 ms at 48 kHz: too long for a click, too short to be heard as two versions.</summary>
    public const int DefaultCrossfadeFrames = 1024;

    private readonly SnapshotExchange<TFilter> exchange = new();
    private readonly int outputs, inputs, latencyFrames;
    private Snapshot<TFilter> current;
    private Snapshot<TFilter>? former;
    private Crossfade fade;

    public FilterHandover(TFilter first, int maxTapCount, int crossfadeFrames)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(crossfadeFrames);
        (outputs, inputs, latencyFrames) = (first.Outputs, first.Inputs, first.LatencyFrames);
        MaxTapCount = Math.Max(maxTapCount, first.TapCount);
        current = new Snapshot<TFilter>(first);
        fade = new Crossfade(crossfadeFrames);
    }

    public int MaxTapCount { get; }

    public int LatencyFrames => latencyFrames;

    public TFilter Current => current.Value;

    /// <summary>The filter that is being faded out, or null.</summary>
    public TFilter? Former => former?.Value;

    public Crossfade Fade => fade;

    public void Publish(TFilter filter)
    {
        ArgumentNullException.ThrowIfNull(filter);
        if (filter.Outputs != outputs || filter.Inputs != inputs)
            throw new ArgumentException($"The filter is {filter.Outputs} x {filter.Inputs}; {outputs} x {inputs} is playing.", nameof(filter));
        if (filter.TapCount > MaxTapCount)
            throw new ArgumentException($"The filter has {filter.TapCount} taps; room was made for {MaxTapCount}.", nameof(filter));
        if (filter.LatencyFrames != latencyFrames)
            throw new ArgumentException($"The filter's latency is {filter.LatencyFrames} frames; {latencyFrames} has been promised.", nameof(filter));
        while (exchange.TryCollect(out _))
        {
            // Filters hold managed memory only: letting go of them here, off the audio thread, is all their disposal.
        }

        exchange.Publish(filter);
    }

    /// <summary>Starts a fade to the newest filter, if there is one and no fade is running.</summary>
    public void TakeNewest()
    {
        if (fade.IsRunning || !exchange.TryTake(out var next))
            return;
        former = current;
        current = next;
        fade.Start();
        if (!fade.IsRunning)
            LetGoOfFormer();
    }

    public void Advance(int frames)
    {
        fade.Advance(frames);
        if (!fade.IsRunning)
            LetGoOfFormer();
    }

    /// <summary>Goes to the newest filter at once.</summary>
    public void Reset()
    {
        fade.Finish();
        LetGoOfFormer();
        if (!exchange.TryTake(out var next))
            return;
        exchange.Return(current);
        current = next;
    }

    private void LetGoOfFormer()
    {
        if (former == null)
            return;
        exchange.Return(former);
        former = null;
    }
}
