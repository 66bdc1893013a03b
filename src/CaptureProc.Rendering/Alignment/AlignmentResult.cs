namespace CaptureProc.Rendering.Alignment;

/// <summary>What an alignment made.</summary>
/// <param name="Plan">Who was delayed by how much.</param>
/// <param name="ArrayId">The array that everything lines up with.</param>
/// <param name="ArrayFile">The converted array.</param>
/// <param name="Spots">The files of each spot, in the session's order.</param>
/// <param name="Frames">Length of every file.</param>
/// <param name="Warnings">What a person should know in passing.</param>
/// <param name="Findings">What needs attention.</param>
public sealed record AlignmentResult(
    AlignmentPlan Plan, string ArrayId, string ArrayFile, IReadOnlyList<AlignedSpotFiles> Spots, long Frames,
    IReadOnlyList<string> Warnings, IReadOnlyList<Finding> Findings);

/// <summary>The files of one spot.</summary>
/// <param name="Spot">The spot.</param>
/// <param name="File">The aligned spot.</param>
/// <param name="PlacedFile">The spot in the field; null where it was not asked for or has no direction.</param>
public sealed record AlignedSpotFiles(AlignedSpot Spot, string File, string? PlacedFile);
