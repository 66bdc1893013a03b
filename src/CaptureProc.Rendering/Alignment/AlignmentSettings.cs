using CaptureProc.Rendering.Conversion;

namespace CaptureProc.Rendering.Alignment;

/// <summary>How spots are aligned and placed.</summary>
public sealed record AlignmentSettings
{
    /// <summary>How the array, and every spot that is one, becomes a field.</summary>
    public FieldSettings Field { get; init; } = new();

    /// <summary>Whether each spot is also written as a field, at its direction.</summary>
    public bool Place { get; init; }

    /// <summary>The order of placed spots and of the mix, 1…3.</summary>
    public int Order { get; init; } = 1;

    /// <summary>How much later every spot comes than the array, on top of its delay.</summary>
    public double LaterMs { get; init; }
}
