using CaptureProc.Rendering.Streaming;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Conversion;

/// <summary>What a conversion made.</summary>
public sealed record ConversionResult(string ArrayId, string? Trim, int SampleRateHz, long Frames, IReadOnlyList<string> Warnings, IReadOnlyList<Finding> Findings);

/// <summary>Converts the A-format of a take to B-format, file to file.</summary>
/// <remarks>
/// Output time is input time, first frame to last: the filter's latency is taken out. Memory does not grow with the take.
/// Errors: <see cref="UnusableInputException"/>; then there is no output.
/// </remarks>
public static class TakeConverter
{
    public static ConversionResult Convert(
        SessionDocument session, TakeFiles takeFiles, string outputPath, FieldSettings settings, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(settings);
        var array = session.FindArray(settings.ArrayId);
        using var take = WavInput.Open(takeFiles);
        take.RequireSession(session);
        take.RequireChannels(array.Channels, $"array '{array.Id}'");
        TakeChecks.RequireOther(outputPath, take);

        var renderer = new SilenceWatch(new ConversionRenderer(array, settings.Conversion.DesignFilter(session, array)));
        using var output = WavOutput.Create(outputPath, new WavOutputFormat(session.SampleRate, renderer.OutputChannelCount, settings.SampleFormat)
        {
            ChannelNames = FieldConversion.ChannelNames(settings.Conversion.Format, 1),
            ChannelFunctions = FieldConversion.ChannelFunctions(settings.Conversion.Format, 1),
            MetadataFrom = take.FileOf(array.Channels[0]),
            TimeReferenceFrames = take.TimeReferenceFrames,
        }, settings.Replace);
        Conveyor.Run(take, renderer, [output], progress);

        List<Finding> findings = [.. TakeChecks.Faults(take), .. TakeChecks.Silence(array, renderer, take), .. TakeChecks.Clipping(output)];
        output.Complete();
        return new ConversionResult(array.Id, settings.Conversion.Trim ?? array.ActiveTrim, session.SampleRate, take.FrameCount, take.Warnings, findings);
    }
}
