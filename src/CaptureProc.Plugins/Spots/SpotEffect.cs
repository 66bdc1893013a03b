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
public sealed class SpotEffect : LinkedEffect
{
    private const double CrossfadeSeconds = 0.02;
    private const double UsualSampleRateHz = 48000;

    private readonly SpotParameters parameters;
    private readonly SlotList spots = new(SpotSlots, "None");
    private readonly SlotList arrays = new(ArraySlots, "Main array");
    private readonly LevelReading level = new();
    private SpotShape shape;
    private SpotControls? controls;
    private SpotEngine? engine;
    private DirectFilter? filter;
    private (int SessionVersion, string Spot, string Array, bool AsField, double SampleRateHz) designed;
    private volatile SpotValues values = SpotValues.None;
    private string spotName = "", arrayName = "";
    private bool settled;

    internal SpotEffect(ProcessSessions process, int inputs, int outputs, SpotParameters parameters)
        : base(process, SpotParameters.Session, Follow, Status)
    {
        this.parameters = parameters;
        shape = new SpotShape(inputs, outputs, UsualSampleRateHz);
    }

    public override int LatencyFrames => shape.LatencyFrames;

    public override uint TailFrames => (uint)(shape.LatencyFrames + shape.MaxDelaySamples);

    public override void Prepare(double sampleRateHz, int maxBlockFrames) => Exclusively(() =>
    {
        shape = shape with { SampleRateHz = UsableRate(sampleRateHz) };
        level.Prepare(sampleRateHz);
        (filter, designed, engine) = (null, default, null);
        Redesign();
        controls = new SpotControls(shape, parameters, maxBlockFrames);
        engine = new SpotEngine(shape, filter, maxBlockFrames, (int)(CrossfadeSeconds * sampleRateHz));
        settled = false;
    });

    public override void Reset()
    {
        engine?.Reset();
        level.Reset();
        settled = false;
    }

    public override void Process(in AudioBlock block)
    {
        var (sounding, steering, now) = (engine!, controls!, values);
        steering.Read(block.Parameters, block.FrameCount, now, sounding);
        if (!settled)
        {
            // Nothing sounds yet that a change could tear: begin with the newest filter, delay and gains.
            sounding.Reset();
            steering.Restart();
            settled = true;
        }
        var input = new ReadOnlyPlanarSpan(block.InputSamples, shape.Inputs, block.FrameCount, block.Stride);
        var output = new PlanarSpan(block.OutputSamples, shape.Outputs, block.FrameCount, block.Stride);
        for (var done = 0; done < block.FrameCount;)
        {
            var frames = steering.Apply(sounding, done, block.FrameCount - done);
            sounding.Process(input.Slice(done, frames), output.Slice(done, frames));
            done += frames;
        }
        level.Add(output[0]);
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

    public override byte[] SaveExtra() => SavedSpot.ToBytes(spotName, base.SaveExtra(), arrayName);

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var name = SavedSpot.SpotOf(extra, out var link);
        // Names go back to the place that the saved number means, before anything is designed from them.
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

    protected override void Redesign()
    {
        spotName = Host.Plain(Spot) < 1 ? "" : spots.NameAt((int)Host.Plain(Spot));
        arrayName = Host.Plain(parameters.LineUpWith) < 1 ? "" : arrays.NameAt((int)Host.Plain(parameters.LineUpWith));
        var asField = shape.HasEncoder && Host.Plain(parameters.Field) >= 0.5;
        var wanted = (Link.Version, spotName, arrayName, asField, shape.SampleRateHz);
        if (wanted == designed)
            return;
        designed = wanted;
        values = SpotValues.Of(Link.Session, spotName, arrayName, shape.SampleRateHz);
        if (!shape.HasEncoder)
            return;
        filter = (asField && Link.Session is { } session ? SpotEncoder.Of(session, spotName, shape.SampleRateHz) : null)
            ?? SpotEncoder.Wires(shape.EncoderLatencyFrames);
        engine?.Publish(filter);
    }
}
