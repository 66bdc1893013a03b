using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Link;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The array plug-in: four capsules in, the sound field out, as the session or the user says.</summary>
/// <remarks>
/// Latency: that of the longest correction of the class, at the rate of the instance, whatever is chosen.
/// Trims, polarity, turn, gain, format and bypass glide on the audio thread; whatever changes the filters is designed off it
/// and crossfaded.
/// </remarks>
public sealed partial class ArrayEffect : LinkedEffect
{
    private const double CrossfadeSeconds = 0.02;
    private const double UsualSampleRateHz = 48000;

    private readonly Correction[] corrections;
    private readonly ArrayControls controls = new();
    private readonly ArrayMeters meters = new();
    private readonly ArrayChoice choice = new();
    private ArrayEngine? engine;
    private ArrayShape judged, designed;
    private EncoderFilter? filter;
    private (CapsuleArray Array, double SpeedOfSoundMps)? resolved;
    private volatile int arrayStatus;
    private volatile TrimTable trims = TrimTable.AsRecorded;
    private ArrayEntry? trimmed;
    private double sampleRateHz = UsualSampleRateHz;
    private bool isPrepared;

    /// <param name="process">The sessions on offer and the workers.</param>
    /// <param name="corrections">The corrections on offer, the one with the longest filters last.</param>
    internal ArrayEffect(ProcessFiles<SessionCatalog, CatalogEntry> process, params Correction[] corrections)
        : base(process, ArrayParameters.Session, Follow, Status) => this.corrections = corrections;

    public override int LatencyFrames => EncoderDesign.LatencyFrames(corrections[^1], sampleRateHz);

    public override uint TailFrames => (uint)LatencyFrames;

    public override void Prepare(double sampleRateHz, int maxBlockFrames)
    {
        Exclusively(() =>
        {
            Volatile.Write(ref this.sampleRateHz, UsableRate(sampleRateHz));
            (engine, isPrepared) = (null, true);
            OnLook();
        });
        FollowLineUp();
        WorkOut();
        var first = Locked(() => filter!);
        var made = new ArrayEngine(first, maxBlockFrames, (int)(CrossfadeSeconds * sampleRateHz), sampleRateHz);
        controls.Prepare(sampleRateHz, maxBlockFrames);
        meters.Prepare(sampleRateHz);
        Sight.Field.Prepare(this.sampleRateHz);
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
        meters.Reset();
        Sight.Field.Reset();
        IsSettled = false;
    }

    public override void Process(in AudioBlock block)
    {
        var sounding = engine!;
        if (!IsSettled)
        {
            // Nothing sounds yet that a change could tear: begin with the newest filters and the values as they are.
            sounding.Settle();
            controls.Restart();
            IsSettled = true;
        }
        var input = new ReadOnlyPlanarSpan(block.InputSamples, 4, block.FrameCount, block.Stride);
        var output = new PlanarSpan(block.OutputSamples, 4, block.FrameCount, block.Stride);
        lineUp.Hear(input);
        controls.Read(block.Parameters, block.FrameCount, trims);
        for (var done = 0; done < block.FrameCount;)
        {
            var frames = controls.Apply(sounding, done, block.FrameCount - done);
            sounding.Process(input.Slice(done, frames), output.Slice(done, frames));
            meters.Add(sounding, output.Slice(done, frames));
            Sight.Add(sounding, input.Slice(done, frames), output.Slice(done, frames));
            done += frames;
        }
        meters.Show(block.Meters);
        lineUp.Show(block.Meters);
        block.Meters.Set(ArrayParameters.ArrayStatus, arrayStatus);
        block.Meters.Set(CompareParameters.Added, controls.AddedDb);
        ShowStatus(block.Meters);
    }

    public override void OnEdited(int parameter)
    {
        ActOn(parameter);
        base.OnEdited(parameter);
        FollowLineUp();
    }

    public override string? TextOf(int parameter, double plain) => parameter switch
    {
        ArrayParameters.TakePreset => PresetChoices.NameOf((int)plain),
        TrimChoice => trims.NameOfChoice((int)plain),
        CompareParameters.First or CompareParameters.Second => trims.NameOfCompared((int)plain),
        ArrayChoice.Index => choice.NameAt((int)plain),
        _ => base.TextOf(parameter, plain),
    };

    protected override void OnSessionReplaced()
    {
        choice.Offer(Link.Session);
        MakeTrims();
    }

    protected override void OnFollowed()
    {
        if (choice.Choose((int)Host.Plain(ArrayChoice.Index)))
            MakeTrims();
        var shape = Shape();
        if (shape == judged)
            return;
        judged = shape;
        ArrayResolution.FindProblem(shape.Resolve(Link.Session).Array, out var fault);
        arrayStatus = shape.StatusOf(Link.Session, fault);
        Host.Show(ArrayParameters.ArrayStatus, arrayStatus);
    }

    protected override void AfterLook() => FollowLineUp();

    protected override Design? NextDesign()
    {
        var shape = Shape();
        if (!isPrepared || filter is not null && shape == designed)
            return null;
        var wanted = shape.Resolve(Link.Session);
        ArrayResolution.FindProblem(wanted.Array, out var fault);
        // An array that cannot resolve the field is refused and said so: the one before plays on, or the one set by hand.
        var (array, speedOfSoundMps) = fault == ArrayFault.None && !shape.IsMissing(Link.Session) ? wanted : resolved ?? (shape with { FromSession = false }).Resolve(null);
        return new EncoderDesigned(this, shape, array, speedOfSoundMps);
    }

    private ArrayShape Shape() => new(
        (int)Host.Plain(Source) == FromSession && Link.Session is not null, Link.Version, choice.Name, (int)Host.Plain(Order), Host.Plain(Radius),
        Host.Plain(Pattern), (int)Host.Plain(Mount), corrections[(int)Host.Plain(CorrectionChoice)], sampleRateHz);

    private void MakeTrims()
    {
        // While the session lacks the array that was chosen, the one before plays on with its trims.
        trimmed = ArrayChoice.Find(Link.Session, choice.Name) ?? (Link.Session is { Arrays.Count: > 0 } ? trimmed : null);
        trims = TrimTable.Of(trimmed, lineUp.Kept);
        Host.NamesChanged();
    }

    private sealed class EncoderDesigned(ArrayEffect effect, ArrayShape shape, CapsuleArray array, double speedOfSoundMps) : Design
    {
        private readonly int latencyFrames = effect.LatencyFrames;
        private EncoderFilter? made;

        public override void Make() => made = ArrayFilters.Of(array, speedOfSoundMps, shape.SampleRateHz, shape.Correction, latencyFrames);

        public override void Use()
        {
            if (effect.Shape() != shape)
                return;
            effect.designed = shape;
            effect.resolved = (array, speedOfSoundMps);
            if (effect.filter == made)
                return;
            effect.filter = made;
            effect.engine?.Publish(made!);
        }
    }
}
