using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>A spot's delay against an array that is not the main one, with all that was measured beside it.</summary>
/// <remarks>
/// Another array stands elsewhere, so the way of the sound, its direction and its level are others too. Whatever belongs to the
/// main array stands in the spot itself.
/// </remarks>
public sealed record ArrayDelay
{
    /// <summary>The array's id.</summary>
    public string Array { get; init; } = "";

    /// <summary>As <see cref="SpotDelay.Samples"/>.</summary>
    public double Samples { get; init; }

    public double Ms { get; init; }

    public double UncertaintySamples { get; init; }

    public double Confidence { get; init; }

    public string? Source { get; init; }

    /// <summary>For a spot on a recorder of its own: its clock, with the time at which this delay holds.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SpotClock? Clock { get; init; }

    /// <summary>+1 as the array, −1 inverted, null not known or not sure.</summary>
    public int? Polarity { get; init; }

    public SpotDirection? Direction { get; init; }

    /// <summary>From this array's acoustic centre to the source, in metres.</summary>
    public double? DistanceM { get; init; }

    /// <summary>The dB to add to the spot for its direct sound to be as loud as it is in this array.</summary>
    public double? GainDb { get; init; }

    /// <summary>How the clap looks in this array and the spot.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SlateTraces? Slate { get; init; }

    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Note { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
