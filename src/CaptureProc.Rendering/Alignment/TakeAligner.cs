using CaptureProc.Rendering.Conversion;
using CaptureProc.Rendering.Streaming;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Alignment;

/// <summary>Writes one aligned file a spot, and the converted array, all sample-locked.</summary>
/// <remarks>
/// Every file has the take's length and starts with it, but for <see cref="AlignmentPlan.HeldBackFrames"/>, which are the same for all.
/// A spot without a delay is written too, only held back: nobody has to look for a missing track; the finding says that it is not aligned.
/// Memory does not grow with the take. Errors: <see cref="UnusableInputException"/>; then there is no output.
/// </remarks>
public static class TakeAligner
{
    public static AlignmentResult Align(
        SessionDocument session, TakeFiles takeFiles, string folderPath, AlignmentSettings settings, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(settings);
        var field = settings.Field;
        var array = session.FindArray(field.ArrayId);
        var plan = AlignmentPlan.Make(session, settings);
        using var take = WavInput.Open(takeFiles);
        take.RequireSession(session);
        VoiceBank.RequireChannels(take, array, plan.Spots);

        bool[] placed = [.. plan.Spots.Select(s => settings.Place && s.CanBePlaced)];
        var voices = new VoiceBank(session, array, plan, field.Conversion, plan.Spots, take.FrameCount);
        var renderer = new SilenceWatch(new AlignmentRenderer(voices, plan.Spots, placed, field.Conversion, settings.Order));

        using var folder = OutputFolder.Open(folderPath);
        var names = new AlignmentFiles(folder, array, plan.Spots, placed);
        var outputs = new List<WavOutput>();
        try
        {
            WavOutput Open(string path, WavOutputFormat format)
            {
                TakeChecks.RequireOther(path, take);
                outputs.Add(WavOutput.Create(path, format, field.Replace));
                return outputs[^1];
            }
            var formats = new AlignmentFormats(session, take, settings);
            Open(names.ArrayFile, formats.Field(array.Channels[0], 1));
            foreach (var files in names.Spots)
            {
                Open(files.File, files.Spot.Array is null ? formats.Spot(files.Spot.Spot) : formats.Field(files.Spot.Spot.Channels[0], 1));
                if (files.PlacedFile is { } placedFile)
                    Open(placedFile, formats.Field(files.Spot.Spot.Channels[0], settings.Order));
            }
            Conveyor.Run(take, renderer, outputs, progress);

            List<Finding> findings =
            [
                .. plan.Findings, .. TakeChecks.Faults(take), .. WithoutDirection(plan.Spots, settings.Place), .. TakeChecks.Silence(array, renderer, take),
                .. TakeChecks.SilentSpots(plan.Spots.Select(s => s.Spot), renderer, take), .. outputs.SelectMany(TakeChecks.Clipping),
            ];
            WavOutput.CompleteAll(outputs);
            return new AlignmentResult(plan, array.Id, names.ArrayFile, names.Spots, take.FrameCount, take.Warnings, findings);
        }
        finally
        {
            outputs.ForEach(o => o.Dispose());
        }
    }

    private static IEnumerable<Finding> WithoutDirection(IEnumerable<AlignedSpot> spots, bool isAsked) => spots
        .Where(s => isAsked && !s.CanBePlaced)
        .Select(s => new Finding("no-direction", $"spot '{s.Spot.Id}' has no direction and is not placed; run 'measure' on the slate"));
}
