using CaptureProc.Session;

namespace CaptureProc.Rendering.Delivery;

/// <summary>What came of a delivery.</summary>
/// <param name="Before">The mix as it was.</param>
/// <param name="After">What has been written: every slice of the mix through the gates again, since a gain moves passages across them.</param>
public sealed record DeliveryResult(ProgrammeLoudness Before, ProgrammeLoudness After, GainDecision Gain, int Order);

/// <summary>Measures a mix, sets its level by gain alone, and writes it in the containers asked for.</summary>
/// <remarks>
/// Thread: one. Memory: some blocks, whatever the length. The mix is read twice: to measure it, and to write it at its new
/// level, whose figures stand in the files' heads.
/// Errors: <see cref="UnusableInputException"/>; nothing remains of files that are not complete.
/// </remarks>
public static class FieldDelivery
{
    // Long enough that handing a block to another thread is nothing beside the work on it.
    private const int LongBlockFrames = 1 << 15;

    public static DeliveryResult Run(DeliveryPlan plan, IProgress<double>? progress = null)
    {
        var order = CheckMix(plan);
        foreach (var (_, path) in plan.Files)
            PendingFile.RequireOther(path, [plan.MixPath, .. plan.PicturePath is { } picture ? new[] { picture } : []]);
        var meter = Measure(plan, new Part(progress, 0, 0.5));
        var before = meter.Finish();
        if (plan.TargetLufs is not null && !double.IsFinite(before.Rendering.IntegratedLufs))
            throw new UnusableInputException("mix-silent",
                $"{plan.MixPath}: has no loudness: it is silent or shorter than 0.4 s; deliver it without --loudness, or give another mix");
        var gain = GainDecision.For(before, plan.TargetLufs, plan.CeilingDbtp);
        var after = gain.GainDb == 0 ? before : meter.At(gain.GainDb);
        RefuseClipping(plan, after);
        Write(plan, order, gain.GainDb, after, new Part(progress, 0.5, 0.5));
        return new DeliveryResult(before, after, gain, order);
    }

    private static int CheckMix(DeliveryPlan plan)
    {
        using var input = Wav.WavInput.Open(plan.MixPath);
        var order = FieldOrder.Of(input.ChannelCount, plan.MixPath);
        if (plan.Rendering.Filter.Inputs != input.ChannelCount)
            throw new ArgumentException($"The rendering takes {plan.Rendering.Filter.Inputs} channels, the mix has {input.ChannelCount}.", nameof(plan));
        return order;
    }

    private static ProgrammeMeter Measure(DeliveryPlan plan, IProgress<double> progress)
    {
        using var sampleRate = Wav.WavInput.Open(plan.MixPath);
        var meter = new ProgrammeMeter(plan.Rendering, sampleRate.SampleRateHz);
        using var reader = new FieldReader(plan.MixPath, plan.MixFormat, gainDb: 0, meter.MaxBlockFrames * Math.Max(1, LongBlockFrames / meter.MaxBlockFrames));
        for (int frames; (frames = reader.Next()) > 0; progress.Report(reader.Share))
            meter.Process(reader.Block, frames);
        return meter;
    }

    private static void RefuseClipping(DeliveryPlan plan, ProgrammeLoudness after)
    {
        var isInteger = Wav.SampleFormats.IsInteger(plan.SampleFormat) || plan.Files.Any(f => !f.Container.IsWav());
        if (isInteger && after.ChannelTruePeakDbtp > 0)
            throw new UnusableInputException("would-clip", FormattableString.Invariant(
                $"{plan.MixPath}: its channels reach {after.ChannelTruePeakDbtp:+0.00} dBTP and would clip in a file of integers; give --loudness with a --ceiling, or --bits 32f"));
    }

    private static void Write(DeliveryPlan plan, int order, double gainDb, ProgrammeLoudness after, IProgress<double> progress)
    {
        var wavs = plan.Files.Where(f => f.Container.IsWav()).ToList();
        var others = plan.Files.Where(f => !f.Container.IsWav()).ToList();
        using var pending = new PendingFiles(plan.Replace);
        foreach (var (_, path) in others)
            pending.Add(path);
        using var scratch = others.Count > 0 ? new ScratchFolder(others[0].Path) : null;
        WriteWavs(scratch is null ? wavs : [.. wavs, (DeliveryContainer.AmbiX, scratch.Field)], plan, gainDb, after, progress);
        if (scratch is null)
            return;
        if (others.Any(f => f.Container is DeliveryContainer.Opus or DeliveryContainer.Mp4))
            OpusFile.Encode(scratch.Field, scratch.Opus, order, plan.BitrateKbps, plan.Title);
        foreach (var (container, path) in others)
            if (container == DeliveryContainer.Opus)
                pending.Fill(path, scratch.Opus);
            else
                PictureFile.Join(container == DeliveryContainer.Mov ? scratch.Field : scratch.Opus, plan.PicturePath, container, order, plan.Title, pending.PartOf(path));
        pending.CompleteAll();
    }

    private static void WriteWavs(List<(DeliveryContainer Container, string Path)> files, DeliveryPlan plan, double gainDb, ProgrammeLoudness after, IProgress<double> progress)
    {
        using var reader = new FieldReader(plan.MixPath, plan.MixFormat, gainDb, LongBlockFrames);
        var outputs = new List<FieldFile>();
        try
        {
            foreach (var (container, path) in files)
                outputs.Add(FieldFile.Create(plan, container, path, reader, after));
            for (int frames; (frames = reader.Next()) > 0; progress.Report(reader.Share))
                foreach (var output in outputs)
                    output.Write(reader.Block, frames);
            FieldFile.CompleteAll(outputs);
        }
        finally
        {
            foreach (var output in outputs)
                output.Dispose();
        }
    }

    /// <summary>One stretch of a progress that runs from 0 to 1.</summary>
    private sealed class Part(IProgress<double>? whole, double start, double length) : IProgress<double>
    {
        public void Report(double value) => whole?.Report(start + length * value);
    }
}
