using CaptureProc.Rendering.Alignment;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Rendering.Streaming;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Mixing;

/// <summary>What a mix holds.</summary>
/// <param name="Plan">Who was delayed by how much.</param>
/// <param name="ArrayId">The array.</param>
/// <param name="Mixed">The spots that are in the mix.</param>
/// <param name="Frames">Length of the file.</param>
/// <param name="Warnings">What a person should know in passing.</param>
/// <param name="Findings">What needs attention.</param>
public sealed record MixResult(
    AlignmentPlan Plan, string ArrayId, IReadOnlyList<AlignedSpot> Mixed, long Frames, IReadOnlyList<string> Warnings, IReadOnlyList<Finding> Findings);

/// <summary>Mixes array and placed, aligned spots into one B-format file.</summary>
/// <remarks>
/// A spot that is not aligned or has no direction is left out: added a few milliseconds off it would colour the whole. A
/// first-order array in a mix of higher order leaves the channels above silent.
/// Memory does not grow with the take. Errors: <see cref="UnusableInputException"/>; then there is no output.
/// </remarks>
public static class TakeMixer
{
    public static MixResult Mix(
        SessionDocument session, TakeFiles takeFiles, string outputPath, MixSettings settings, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(settings);
        var field = settings.Alignment.Field;
        var array = session.FindArray(field.ArrayId);
        // As the session spells them, for the lookup by id.
        settings = settings with { SpotGainsDb = settings.SpotGainsDb.ToDictionary(g => session.FindSpot(g.Key).Id, g => g.Value) };
        var plan = AlignmentPlan.Make(session, settings.Alignment);
        var mixed = plan.Spots.Where(s => s.IsAligned && s.CanBePlaced).ToList();
        using var take = WavInput.Open(takeFiles);
        take.RequireSession(session);
        VoiceBank.RequireChannels(take, array, mixed);
        TakeChecks.RequireOther(outputPath, take);

        var voices = new VoiceBank(session, array, plan, field.Conversion, mixed, take.FrameCount);
        var renderer = new SilenceWatch(new MixRenderer(voices, mixed, settings));
        using var output = WavOutput.Create(outputPath,
            new AlignmentFormats(session, take, settings.Alignment).Field(array.Channels[0], settings.Alignment.Order), field.Replace);
        Conveyor.Run(take, renderer, [output], progress);

        List<Finding> findings =
        [
            .. plan.Findings, .. TakeChecks.Faults(take), .. LeftOut(plan.Spots), .. WithoutGain(mixed, settings), .. TakeChecks.Silence(array, renderer, take),
            .. TakeChecks.SilentSpots(mixed.Select(s => s.Spot), renderer, take), .. TakeChecks.Clipping(output),
        ];
        output.Complete();
        return new MixResult(plan, array.Id, mixed, take.FrameCount, take.Warnings, findings);
    }

    private static IEnumerable<Finding> WithoutGain(IEnumerable<AlignedSpot> mixed, MixSettings settings) => mixed
        .Where(s => settings.IsGainUnknown(s.Spot))
        .Select(s => new Finding("no-gain",
            $"spot '{s.Spot.Id}' has no measured gain and is mixed as it was recorded, so it may cover the array: run 'measure' on a slate, or give --gain {s.Spot.Id}=DB"));

    private static IEnumerable<Finding> LeftOut(IEnumerable<AlignedSpot> spots)
    {
        foreach (var spot in spots)
            if (!spot.IsAligned || !spot.CanBePlaced)
                yield return new Finding("left-out",
                    $"spot '{spot.Spot.Id}' is left out of the mix, because it has no {(spot.IsAligned ? "direction" : "delay")}");
    }
}
