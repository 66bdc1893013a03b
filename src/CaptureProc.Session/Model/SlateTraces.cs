using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>A small picture of a clap in the array and in a spot: as recorded, and lined up by the delay.</summary>
/// <remarks>
/// For the eye, not for measuring: at most <see cref="MostPoints"/> points a trace, each trace at its own full height. Times are milliseconds
/// from the arrival at the array. A trace is text in the file: signed bytes in base64, −127 to 127.
/// </remarks>
public sealed record SlateTraces
{
    public const int MostPoints = 240;

    /// <summary>The delay that lines the second pair up; where the spot has another by now the picture is out of date.</summary>
    public double DelaySamples { get; init; }

    /// <summary>When the clap arrives at the array, in the recording.</summary>
    public double TimeSeconds { get; init; }

    public TracePair Recorded { get; init; } = new();

    public TracePair LinedUp { get; init; } = new();

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>Two traces over the same stretch of time.</summary>
public sealed record TracePair
{
    public double FromMs { get; init; }

    public double ToMs { get; init; }

    /// <summary>W of the array.</summary>
    public string Array { get; init; } = "";

    public string Spot { get; init; } = "";

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>Samples as a trace's text, and back.</summary>
public static class SlateTrace
{
    private const int Full = 127;

    /// <summary>Of each piece of the stretch the sample that is farthest from zero, so that no peak goes missing.</summary>
    public static string ToText(ReadOnlySpan<float> samples)
    {
        var peak = 0f;
        foreach (var sample in samples)
            peak = MathF.Max(peak, MathF.Abs(sample));
        var points = Math.Min(samples.Length, SlateTraces.MostPoints);
        var bytes = new byte[points];
        for (var point = 0; point < points; point++)
        {
            var piece = samples[(point * samples.Length / points)..((point + 1) * samples.Length / points)];
            var largest = 0f;
            foreach (var sample in piece)
                largest = MathF.Abs(sample) > MathF.Abs(largest) ? sample : largest;
            bytes[point] = (byte)(sbyte)(peak > 0 ? MathF.Round(Full * largest / peak) : 0);
        }
        return Convert.ToBase64String(bytes);
    }

    /// <summary>Points from −1 to 1; none where the text is no trace.</summary>
    public static float[] ToPoints(string text)
    {
        var bytes = new byte[SlateTraces.MostPoints];
        if (!Convert.TryFromBase64String(text, bytes, out var count))
            return [];
        var points = new float[count];
        for (var i = 0; i < count; i++)
            points[i] = (sbyte)bytes[i] / (float)Full;
        return points;
    }
}
