using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Delay;

/// <summary>Delays a bundle of channels in real time, by fractions of a sample too; the delay can be changed while it plays.</summary>
/// <remarks>
/// Thread: constructor [main]; SetDelay [any]; Process and Reset [audio]. Allocates: in the constructor only. In place: yes.
/// Unit:    delay in samples, 0..MaxDelaySamples.
/// Latency: LatencyFrames on top of the delay asked for, constant: half the length of the interpolation filter.
/// Error:   that of <see cref="FractionalDelayKernel"/>; a whole delay is exact.
/// Changing: the new delay is read at a second place of the same history and faded over, linearly, in about 20 ms. Sliding one
/// reading place from the old delay to the new one would bend the pitch, and jumping would click. A delay that arrives
/// during a fade waits until the fade is over; of several, the last one counts.
/// </remarks>
public sealed class FractionalDelay : IPlanarProcessor
{
    /// <summary>About 20 ms at 48 kHz.</summary>
    public const int DefaultCrossfadeFrames = 1024;

    // Fades are made in pieces, so that no buffer has the length of the host's block.
    private const int PieceFrames = 256;

    private readonly SlidingHistory history;
    private readonly AlignedBuffer<float> scratch = new(DelayKernelLoop.Frames);
    private readonly AlignedBuffer<float> formerPiece = new(PieceFrames);
    private readonly AlignedBuffer<float> currentPiece = new(PieceFrames);
    private DelayTap current = new();
    private DelayTap former = new();
    private Crossfade fade;
    private double wantedDelaySamples;

    public FractionalDelay(
        int channels, double delaySamples, double maxDelaySamples, int maxBlockFrames, int crossfadeFrames = DefaultCrossfadeFrames)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channels, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(maxBlockFrames);
        ArgumentOutOfRangeException.ThrowIfNegative(crossfadeFrames);
        if (!(maxDelaySamples is >= 0 and <= 1 << 28))
            throw new ArgumentOutOfRangeException(nameof(maxDelaySamples), maxDelaySamples, "The longest delay is from 0 to 2^28 samples.");
        (Inputs, MaxBlockFrames, MaxDelaySamples) = (channels, maxBlockFrames, maxDelaySamples);
        fade = new Crossfade(crossfadeFrames);
        var historyFrames = (int)Math.Ceiling(maxDelaySamples) + FractionalDelayKernel.TapCount - 1;
        history = new SlidingHistory(channels, historyFrames, maxBlockFrames, DelayKernelLoop.Frames);
        SetDelay(delaySamples);
        current.MoveTo(delaySamples);
    }

    public int Inputs { get; }

    public int Outputs => Inputs;

    public int MaxBlockFrames { get; }

    public double MaxDelaySamples { get; }

    public int LatencyFrames => FractionalDelayKernel.LatencyFrames;

    /// <summary>[any] The delay from the next block on, by way of a crossfade.</summary>
    public void SetDelay(double delaySamples)
    {
        if (!(delaySamples >= 0 && delaySamples <= MaxDelaySamples))
            throw new ArgumentOutOfRangeException(nameof(delaySamples), delaySamples, $"The delay is from 0 to {MaxDelaySamples} samples.");
        Volatile.Write(ref wantedDelaySamples, delaySamples);
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        if (input.Frames == 0)
            return;
        // Read once a block: a change halfway through would depend on the other thread's timing within the block.
        var wanted = Volatile.Read(ref wantedDelaySamples);
        var frame = history.Append(input, SampleGuard.IsUsable(input));
        for (var done = 0; done < output.Frames;)
        {
            if (!fade.IsRunning && current.DelaySamples != wanted)
                StartFade(wanted);
            var left = output.Frames - done;
            var frames = fade.IsRunning ? Math.Min(left, Math.Min(PieceFrames, fade.RemainingFrames)) : left;
            var piece = output.Slice(done, frames);
            if (fade.IsRunning)
                FadePiece(frame + done, piece);
            else
                ReadPiece(frame + done, piece);
            done += frames;
        }
    }

    public void Reset()
    {
        history.Reset();
        Settle();
    }

    /// <summary>Takes the newest delay at once: nothing sounds yet that a change could tear.</summary>
    public void Settle()
    {
        fade.Finish();
        current.MoveTo(Volatile.Read(ref wantedDelaySamples));
    }

    private void StartFade(double wanted)
    {
        (current, former) = (former, current);
        current.MoveTo(wanted);
        fade.Start();
    }

    private void FadePiece(int frame, PlanarSpan piece)
    {
        for (var channel = 0; channel < Outputs; channel++)
        {
            var from = formerPiece.Span[..piece.Frames];
            var to = currentPiece.Span[..piece.Frames];
            former.Read(history, channel, frame, from, scratch);
            current.Read(history, channel, frame, to, scratch);
            fade.Mix(from, to, piece[channel]);
        }

        fade.Advance(piece.Frames);
    }

    private void ReadPiece(int frame, PlanarSpan piece)
    {
        for (var channel = 0; channel < Outputs; channel++)
            current.Read(history, channel, frame, piece[channel], scratch);
    }
}
