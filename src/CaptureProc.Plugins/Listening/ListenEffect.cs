using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Listening;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Automation;
using CaptureProc.Plugins.Link;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Listening.ListenParameters;

namespace CaptureProc.Plugins.Listening;

/// <summary>The listen plug-ins: a sound field of first to third order in, two channels out, for headphones or loudspeakers.</summary>
/// <remarks>
/// Latency: constant at a rate, whatever is listened through: 1 ms, and up to 2/3 ms more for many channels at high rates.
/// Turn, pair, gain, the way of listening and bypass glide on the audio thread. Another head is read and resampled by [main] or
/// the shared worker, under one gate, and crossfaded.
/// </remarks>
public sealed class ListenEffect : AudioEffect, ISharedWork
{
    private const double UsualSampleRateHz = 48000;

    private readonly Lock gate = new();
    private readonly HeadChoice head = new();
    private readonly LevelReading left = new();
    private readonly LevelReading right = new();
    private readonly int order;
    private readonly ListenControls controls;
    private readonly IDisposable atWork;
    private FieldListener? listener;
    private double sampleRateHz = UsualSampleRateHz;
    private int chosenSlot;
    private volatile int status;
    private bool settled;

    /// <param name="worker">Looks in for a head chosen by automation.</param>
    /// <param name="order">Of the field that comes in.</param>
    public ListenEffect(SharedWorker worker, int order)
    {
        this.order = order;
        controls = new ListenControls(hasCapsules: order == 1);
        atWork = worker.Register(this);
    }

    public override int LatencyFrames => FieldListener.LatencyFramesOf(order, sampleRateHz);

    public override uint TailFrames => (uint)BinauralDecoder.TapCount(sampleRateHz);

    public override void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        lock (gate)
        {
            this.sampleRateHz = Math.Clamp(sampleRateHz, SessionRules.MinSampleRate, SessionRules.MaxSampleRate);
            TakeChoice();
            listener = new FieldListener(head.Decoder.Filter(order, this.sampleRateHz), this.sampleRateHz, maxBlockFrames);
            controls.Prepare(sampleRateHz, maxBlockFrames);
            left.Prepare(sampleRateHz);
            right.Prepare(sampleRateHz);
            settled = false;
        }
    }

    public override void Reset()
    {
        listener?.Reset();
        left.Reset();
        right.Reset();
        settled = false;
    }

    public override void Process(in AudioBlock block)
    {
        var sounding = listener!;
        if (!settled)
        {
            // Nothing sounds yet that a change could tear: begin with the newest head and the values as they are.
            sounding.Reset();
            controls.Restart();
            settled = true;
        }
        var input = new ReadOnlyPlanarSpan(block.InputSamples, sounding.Inputs, block.FrameCount, block.Stride);
        var output = new PlanarSpan(block.OutputSamples, sounding.Outputs, block.FrameCount, block.Stride);
        controls.Read(block.Parameters, block.FrameCount);
        for (var done = 0; done < block.FrameCount;)
        {
            var frames = controls.Apply(sounding, done, block.FrameCount - done);
            sounding.Process(input.Slice(done, frames), output.Slice(done, frames));
            done += frames;
        }
        left.Add(output[0]);
        right.Add(output[1]);
        block.Meters.Set(LevelLeft, left.Read());
        block.Meters.Set(LevelRight, right.Read());
        block.Meters.Set(HeadStatus, status);
    }

    public override void OnEdited(int parameter)
    {
        lock (gate)
            TakeChoice();
    }

    public void Look()
    {
        // Before the host has bound the instance there is nothing to read.
        if (Host is null)
            return;
        try
        {
            lock (gate)
            {
                head.Look();
                TakeChoice();
            }
        }
        catch (Exception)
        {
            // An exception on this thread would end the host. The head that plays goes on playing, and the status says what is missing.
            status = (int)HeadOrigin.NotFound;
        }
    }

    public override string? TextOf(int parameter, double plain)
    {
        if (parameter != Head)
            return null;
        lock (gate)
        {
            head.Look();
            return head.NameAt((int)plain);
        }
    }

    public override byte[] SaveExtra()
    {
        lock (gate)
            return SavedHead.ToBytes(head);
    }

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var (name, decoder) = SavedHead.FromBytes(extra);
        lock (gate)
        {
            chosenSlot = (int)Host.Plain(Head);
            head.Restore(name, chosenSlot, decoder);
            UseHead();
        }
    }

    public override void OnClosed() => atWork.Dispose();

    private void TakeChoice()
    {
        var slot = (int)Host.Plain(Head);
        if (slot == chosenSlot)
            return;
        chosenSlot = slot;
        head.Choose(slot);
        UseHead();
    }

    private void UseHead()
    {
        status = (int)head.Origin;
        listener?.Publish(head.Decoder.Filter(order, sampleRateHz));
    }
}
