using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Automation;
using CaptureProc.Plugins.Link;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Spots.SpotParameters;

namespace CaptureProc.Plugins.Spots;

/// <summary>The spot plug-ins: the measured delay and polarity on one, two or four channels, or one channel placed in the field.</summary>
/// <remarks>Latency: constant at a rate, whatever is set; it makes room for a spot that has to be 10 ms early.</remarks>
public sealed partial class SpotEffect : LinkedEffect
{
    private const double CrossfadeSeconds = 0.02;
    private const double UsualSampleRateHz = 48000;

    private readonly SpotParameters parameters;
    private readonly SlotList spots = new(SpotSlots, "None", "No spot");
    private readonly SlotList arrays = new(ArraySlots, "Main array", "No array");
    private readonly LevelReading level = new();
    private SpotShape shape;
    private SpotControls? controls;
    private SpotEngine? engine;
    private SplitFilter? filter;
    private EncoderChoice designed;
    private (int SessionVersion, string Spot, string Array, double SampleRateHz) read;
    private volatile SpotValues values = SpotValues.None;
    private string spotName = "", arrayName = "";
    private bool isPrepared;

    internal SpotEffect(ProcessFiles<SessionCatalog, CatalogEntry> process, int inputs, int outputs, SpotParameters parameters)
        : base(process, SpotParameters.Session, Follow, Status)
    {
        this.parameters = parameters;
        shape = new SpotShape(inputs, outputs, UsualSampleRateHz);
    }

    public override int LatencyFrames => shape.LatencyFrames;

    public override uint TailFrames => (uint)(shape.LatencyFrames + shape.RoomSamples);

    public override void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        Exclusively(() =>
        {
            shape = shape with { SampleRateHz = UsableRate(sampleRateHz) };
            (engine, isPrepared) = (null, true);
            OnLook();
        });
        WorkOut();
        level.Prepare(sampleRateHz);
        controls = new SpotControls(shape, parameters, maxBlockFrames);
        var first = Locked(() => filter);
        var made = new SpotEngine(shape, first, maxBlockFrames, (int)(CrossfadeSeconds * sampleRateHz));
        Exclusively(() =>
        {
            engine = made;
            if (filter != first)
                made.Publish(filter!);
            IsSettled = false;
        });
    }

    public override void Reset()
    {
        engine?.Reset();
        level.Reset();
        IsSettled = false;
    }

    public override void Process(in AudioBlock block)
    {
        var (sounding, steering, now) = (engine!, controls!, values);
        steering.Read(block.Parameters, block.FrameCount, now, sounding);
        if (!IsSettled)
        {
            // Nothing sounds yet that a change could tear: begin with the newest filter, delay and gains.
            sounding.Settle();
            steering.Restart();
            IsSettled = true;
        }
        var input = new ReadOnlyPlanarSpan(block.InputSamples, shape.Inputs, block.FrameCount, block.Stride);
        var output = new PlanarSpan(block.OutputSamples, shape.Outputs, block.FrameCount, block.Stride);
        for (var done = 0; done < block.FrameCount;)
        {
            var frames = steering.Apply(block.Parameters, sounding, done, block.FrameCount - done);
            sounding.Process(input.Slice(done, frames), output.Slice(done, frames));
            done += frames;
        }
        level.Add(output[0]);
        Peaks.Add(0, output[0]);
        block.Meters.Set(DelayInUse, 1000 * steering.DelaySamples / shape.SampleRateHz);
        block.Meters.Set(Level, level.Read());
        block.Meters.Set(Measured, (double)now.Status);
        ShowStatus(block.Meters);
    }

    public override string? TextOf(int parameter, double plain) => parameter switch
    {
        Spot => spots.NameAt((int)plain),
        _ when parameter == parameters.LineUpWith => arrays.NameAt((int)plain),
        _ => base.TextOf(parameter, plain),
    };

    public override byte[] SaveExtra()
    {
        var (spot, array) = Locked(() => (spotName, arrayName));
        return SavedSpot.ToBytes(spot, base.SaveExtra(), array);
    }

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var name = SavedSpot.SpotOf(extra, out var link);
        // Names go back to the place that the saved number means, before anything follows from them.
        spots.Pin(name, (int)Host.Plain(Spot));
        arrays.Pin(SavedSpot.ArrayOf(link), (int)Host.Plain(parameters.LineUpWith));
        base.LoadExtra(link, condition);
    }

    protected override void OnSessionReplaced()
    {
        var wide = shape.HasEncoder;
        var names = Link.Session?.Spots.Where(s => s.Channels.Count == 4 == wide).Select(s => s.Id) ?? [];
        spots.Update(names, spotName);
        arrays.Update(Link.Session is { Arrays.Count: > 0 } session ? session.Arrays.Where(a => !session.IsMain(a)).Select(a => a.Id) : [], arrayName);
    }

    protected override void OnFollowed()
    {
        spotName = spots.NameHeldAt((int)Host.Plain(Spot));
        arrayName = arrays.NameHeldAt((int)Host.Plain(parameters.LineUpWith));
        var wanted = (Link.Version, spotName, arrayName, shape.SampleRateHz);
        if (wanted != read)
        {
            read = wanted;
            values = SpotValues.Of(Link.Session, spotName, arrayName, shape);
        }
        if (IsSettled)
            return;
        // Until a block shows them.
        Host.Show(Measured, (double)values.Status);
        var delay = SpotControls.DelayOf(values, Host.Plain(DelayFrom) >= 0.5, Host.Plain(DelayByHand), Host.Plain(LaterBy), shape.SampleRateHz);
        Host.Show(DelayInUse, 1000 * delay / shape.SampleRateHz);
    }

    protected override Design? NextDesign()
    {
        if (!shape.HasEncoder || !isPrepared)
            return null;
        var wanted = Wanted();
        return filter is not null && wanted == designed ? null : new EncoderDesigned(this, wanted, shape, Link.Session);
    }

    private EncoderChoice Wanted() => new(Link.Version, spotName, Host.Plain(parameters.Field) >= 0.5, shape.SampleRateHz);

    private readonly record struct EncoderChoice(int SessionVersion, string Spot, bool AsField, double SampleRateHz);

    private sealed class EncoderDesigned(SpotEffect effect, EncoderChoice wanted, SpotShape shape, SessionDocument? session) : Design
    {
        private SplitFilter? made;

        public override void Make() => made =
            (wanted.AsField && session is not null ? SpotEncoder.Of(session, wanted.Spot, wanted.SampleRateHz) : null)
            ?? SpotEncoder.Wires(shape.EncoderLatencyFrames);

        public override void Use()
        {
            if (effect.Wanted() != wanted)
                return;
            effect.designed = wanted;
            if (effect.filter == made)
                return;
            effect.filter = made;
            effect.engine?.Publish(made!);
        }
    }
}
