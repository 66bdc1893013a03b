using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Rendering.Alignment;

namespace CaptureProc.Cli.Commands;

/// <summary>How alignments are put into words and JSON.</summary>
internal static class AlignmentWords
{
    public static string Ms(double ms) => ms.ToString("0.000", CultureInfo.InvariantCulture);

    /// <summary>Says that everything is late, where it is; null otherwise.</summary>
    public static string? HeldBack(AlignmentPlan plan) => plan.HeldBackFrames == 0
        ? null
        : string.Create(CultureInfo.InvariantCulture,
            $"a spot would have to be early, so the array is held back by {plan.HeldBackFrames} samples ({plan.HeldBackMs:0.000} ms), and every spot with it");

    public static JsonObject ToJson(AlignedSpot spot) => new()
    {
        ["id"] = spot.Spot.Id,
        ["aligned"] = spot.IsAligned,
        ["delaySamples"] = spot.Spot.Delay?.Samples,
        ["appliedSamples"] = spot.AppliedDelaySamples,
        ["polarity"] = spot.Polarity,
    };
}
