using CaptureProc.Wav;

namespace CaptureProc.Rendering.Conversion;

/// <summary>Which field is made, how, and how it is written.</summary>
public sealed record FieldSettings
{
    /// <summary>The array to convert; null for the main array.</summary>
    public string? ArrayId { get; init; }

    public FieldConversion Conversion { get; init; } = new();

    public SampleFormat SampleFormat { get; init; } = SampleFormat.Pcm24;

    /// <summary>Whether files that exist already may be replaced.</summary>
    public bool Replace { get; init; }
}
