using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Listening;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Automation;
using CaptureProc.Plugins.Link;
using CaptureProc.Plugins.Work;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Listening.ListenParameters;

namespace CaptureProc.Plugins.Listening;

/// <summary>The listen plug-ins: a sound field of first to third order in, two channels out, for headphones or loudspeakers.</summary>
/// <remarks>
/// Latency: constant at a rate, whatever is listened through: 1 ms, and up to 2/3 ms more for many channels at high rates.
/// Turn, pair, gain, the way of listening and bypass glide on the audio thread. Another head is resampled off it and crossfaded.
/// </remarks>
public sealed partial class ListenEffect : DesignedEffect
{
    private const double UsualSampleRateHz = 48000;

    private readonly ProcessFiles<HeadCatalog, HeadEntry> process;
    private readonly HeadChoice head;
    private readonly LevelReading left = new();
    private readonly LevelReading right = new();
    private readonly int order;
    private readonly ListenControls controls;
    private FieldListener? listener;
    private EarFilter? filter;
    private (BinauralDecoder Head, double SampleRateHz) designed;
    private double sampleRateHz = UsualSampleRateHz;
    private int chosenSlot;
    private volatile int status;

    /// <param name="process">The heads on offer and the workers.</param>
    /// <param name="order">Of the field that comes in.</param>
    internal ListenEffect(ProcessFiles<HeadCatalog, HeadEntry> process, int order)
        : base(process.Worker)
    {
        (this.process, this.order) = (process, order);
        controls = new ListenControls(hasCapsules: order == 1);
        head = new HeadChoice(process.Enter());
    }

    public override int LatencyFrames => FieldListener.LatencyFramesOf(order, sampleRateHz);

    public override uint TailFrames => (uint)BinauralDecoder.TapCount(sampleRateHz);

    public override void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        Exclusively(() =>
        {
            this.sampleRateHz = Math.Clamp(sampleRateHz, SessionRules.MinSampleRate, SessionRules.MaxSampleRate);
            listener = null;
            OnLook();
        });
        WorkOut();
        var first = Locked(() => filter!);
        var made = new FieldListener(first, this.sampleRateHz, maxBlockFrames);
        controls.Prepare(sampleRateHz, maxBlockFrames);
        left.Prepare(sampleRateHz);
        right.Prepare(sampleRateHz);
        Loudness.Prepare(this.sampleRateHz);
        Exclusively(() =>
        {
            listener = made;
            if (filter != first)
                made.Publish(filter!);
            IsSettled = false;
        });
    }

    public override void Reset()
    {
        listener?.Reset();
        left.Reset();
        right.Reset();
        IsSettled = false;
    }

    public override void Process(in AudioBlock block)
    {
        var sounding = listener!;
        if (!IsSettled)
        {
            // Nothing sounds yet that a change could tear: begin with the newest head and the values as they are.
            sounding.Settle();
            controls.Restart();
            IsSettled = true;
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
        Peaks.Add(0, output[0]);
        Peaks.Add(1, output[1]);
        Loudness.Add(output);
        block.Meters.Set(LevelLeft, left.Read());
        block.Meters.Set(LevelRight, right.Read());
        block.Meters.Set(HeadStatus, status);
    }

    public override string? TextOf(int parameter, double plain) => parameter == Head
        ? Locked(() =>
        {
            head.Look();
            return head.NameAt((int)plain);
        })
        : null;

    public override byte[] SaveExtra() => Locked(() => SavedHead.ToBytes(head));

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var (name, decoder) = SavedHead.FromBytes(extra);
        Exclusively(() =>
        {
            chosenSlot = (int)Host.Plain(Head);
            head.Restore(name, chosenSlot, decoder);
            ShowOrigin();
        });
        if (listener is not null)
            WorkOutBeforeSound();
    }

    public override void OnClosed()
    {
        base.OnClosed();
        process.Leave();
    }

    protected override void OnLook()
    {
        if (head.Look())
            Host.NamesChanged();
        var slot = (int)Host.Plain(Head);
        if (slot != chosenSlot)
        {
            chosenSlot = slot;
            head.Choose(slot);
        }
        else
        {
            head.TryFind();
        }
        ShowOrigin();
    }

    protected override Design? NextDesign() =>
        listener is null && filter is null || designed != (head.Decoder, sampleRateHz) ? new HeadDesign(this, head.Decoder, sampleRateHz) : null;

    protected override void OnFault() => status = (int)HeadOrigin.NotFound;

    private void ShowOrigin()
    {
        status = (int)head.Origin;
        Host.Show(HeadStatus, status);
    }

    private sealed class HeadDesign(ListenEffect effect, BinauralDecoder head, double sampleRateHz) : Design
    {
        private EarFilter? made;

        public override void Make() => made = EarFilters.Of(head, effect.order, sampleRateHz);

        public override void Use()
        {
            if (effect.designed == (head, sampleRateHz) || (effect.head.Decoder, effect.sampleRateHz) != (head, sampleRateHz))
                return;
            (effect.designed, effect.filter) = ((head, sampleRateHz), made);
            effect.listener?.Publish(made!);
        }
    }
}
