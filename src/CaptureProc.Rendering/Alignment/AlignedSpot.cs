using CaptureProc.Session;

namespace CaptureProc.Rendering.Alignment;

/// <summary>What is done to one spot.</summary>
/// <param name="Spot">The session's entry.</param>
/// <param name="Array">For a spot with four channels, the capsule array that it is; null for any other.</param>
/// <param name="AppliedDelaySamples">The shift against the take: measured delay, what is asked for on top, and what everyone is held back.</param>
/// <param name="Polarity">+1 or −1, the factor that is applied.</param>
public sealed record AlignedSpot(SpotEntry Spot, ArrayEntry? Array, double AppliedDelaySamples, int Polarity)
{
    /// <summary>How the clock of the spot's own recorder runs; null where it is the array's.</summary>
    public ClockCourse? Clock { get; init; }

    /// <summary>Whether the spot lines up with the array; false where no delay is known.</summary>
    public bool IsAligned => Spot.Delay is not null;

    /// <summary>Whether the spot can stand in a field: as a field of its own, or at a known direction.</summary>
    public bool CanBePlaced => Array is not null || Spot.Direction is not null;
}
