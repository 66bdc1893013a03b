using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Link;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The array plug-in: four capsules in, the sound field out, as the session or the user says.</summary>
/// <remarks>
/// Latency: that of the longest correction of the class, at the rate of the instance, whatever is chosen.
/// Trims, polarity, turn, gain, format and bypass glide on the audio thread; whatever changes the filters is designed by
/// the shared worker (or at once while the host loads) and crossfaded.
/// </remarks>
public sealed partial class ArrayEffect : LinkedEffect
{
    private const double CrossfadeSeconds = 0.02;
    private const double UsualSampleRateHz = 48000;

    private readonly Correction[] corrections;
    private readonly ArrayControls controls = new();
    private readonly ArrayMeters meters = new();
    private ArrayEngine? engine;
    private ArrayShape designed;
    private DirectFilter? filter;
    private (CapsuleArray Array, double SpeedOfSoundMps)? resolved;
    private volatile int arrayStatus;
    private volatile TrimTable trims = TrimTable.AsRecorded;
    private double sampleRateHz = UsualSampleRateHz;
    private bool settled;

    /// <param name="process">The sessions on offer and the worker.</param>
    /// <param name="corrections">The corrections on offer, the one with the longest filters last.</param>
    public ArrayEffect(ProcessSessions process, params Correction[] corrections)
        : base(process, ArrayParameters.Session, Follow, Status) => this.corrections = corrections;

    public override int LatencyFrames => EncoderDesign.LatencyFrames(corrections[^1], sampleRateHz);

    public override uint TailFrames => (uint)LatencyFrames;

    public override void Prepare(double sampleRateHz, int maxBlockFrames) => Exclusively(() =>
    {
        this.sampleRateHz = UsableRate(sampleRateHz);
        filter = null;
        Redesign();
        engine = new ArrayEngine(filter!, maxBlockFrames, 2 * LatencyFrames + 1, (int)(CrossfadeSeconds * sampleRateHz));
        controls.Prepare(sampleRateHz, maxBlockFrames);
        meters.Prepare(sampleRateHz);
        settled = false;
    });

    public override void Reset()
    {
        engine?.Reset();
        meters.Reset();
        settled = false;
    }

    public override void Process(in AudioBlock block)
    {
        var sounding = engine!;
        if (!settled)
        {
            // Nothing sounds yet that a change could tear: begin with the newest filters and the values as they are.
            sounding.Reset();
            controls.Restart();
            settled = true;
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
            done += frames;
        }
        meters.Show(block.Meters);
        lineUp.Show(block.Meters);
        block.Meters.Set(ArrayParameters.ArrayStatus, arrayStatus);
        ShowStatus(block.Meters);
    }

    public override void OnEdited(int parameter)
    {
        if (parameter == TakePreset)
            TakeThePreset((int)Host.Plain(TakePreset));
        ActOnLineUp(parameter);
        base.OnEdited(parameter);
    }

    public override string? TextOf(int parameter, double plain) => parameter switch
    {
        TakePreset => PresetChoices.NameOf((int)plain),
        TrimChoice => (int)plain < trims.Names.Count ? trims.Names[(int)plain] : "",
        _ => base.TextOf(parameter, plain),
    };

    protected override void OnSessionReplaced() => MakeTrims();

    protected override void Redesign()
    {
        FollowLineUp();
        RedesignFilters();
    }

    private void RedesignFilters()
    {
        var shape = new ArrayShape(
            (int)Host.Plain(Source) == FromSession && Link.Session is not null, Link.Version, (int)Host.Plain(Order), Host.Plain(Radius),
            Host.Plain(Pattern), (int)Host.Plain(Mount), corrections[(int)Host.Plain(CorrectionChoice)], sampleRateHz);
        if (filter is not null && shape == designed)
            return;
        designed = shape;
        var wanted = shape.Resolve(Link.Session);
        ArrayResolution.FindProblem(wanted.Array, out var fault);
        arrayStatus = shape.StatusOf(Link.Session, fault);
        // An array that cannot resolve the field is refused and said so: the one before plays on, or the one set by hand.
        var (array, speedOfSoundMps) = fault == ArrayFault.None ? wanted : resolved ?? (shape with { FromSession = false }).Resolve(null);
        resolved = (array, speedOfSoundMps);
        filter = new DirectFilter(EncoderDesign.Design(array, sampleRateHz, speedOfSoundMps, shape.Correction, LatencyFrames));
        if (engine is not null && engine.LatencyFrames == filter.LatencyFrames)
            engine.Publish(filter);
    }

    private void MakeTrims() =>
        trims = TrimTable.Of(Link.Session is { Arrays.Count: > 0 } session ? session.MainArray() : null, lineUp.Kept);

    private void TakeThePreset(int choice)
    {
        if (choice == 0)
            return;
        var name = PresetChoices.NameOf(choice);
        if (name.Length > 0)
        {
            var preset = PresetLibrary.Find(name);
            var order = CapsuleOrders.IndexOf(preset.Capsules.Select(c => c.Label));
            var mount = Mounts.IndexOf(preset.Mount.YawDeg, preset.Mount.PitchDeg, preset.Mount.RollDeg);
            Host.Edit(Source, ByHand);
            Host.Edit(Order, Math.Max(0, order));
            Host.Edit(Radius, preset.RadiusMm);
            Host.Edit(Pattern, preset.Pattern);
            Host.Edit(Mount, Math.Max(0, mount));
        }
        Host.Edit(TakePreset, 0);
    }
}
