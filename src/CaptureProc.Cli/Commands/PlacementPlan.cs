using CaptureProc.Analysis.Placement;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>A spot of a session where it was found to be.</summary>
/// <param name="ArrayM">Source to array.</param>
/// <param name="SpotM">Source to spot, from the delay that was measured; null where that says nothing sensible.</param>
/// <param name="DelaySamples">As measured, at the session's rate.</param>
internal sealed record MeasuredPlace(string SpotId, double ArrayM, double? SpotM, double? DelaySamples);

/// <summary>What is planned: a room, patterns and distances.</summary>
internal sealed record PlacementPlan(ReverberantRoom Room, FirstOrderPattern SpotPattern, double SpeedOfSoundMps, double TemperatureC, double SampleRateHz)
{
    /// <summary>Frequencies at which a proximity rise is worth knowing: the lowest notes, and where it should be gone.</summary>
    public static readonly double[] RiseFrequenciesHz = [50, 100, 200, 400];

    /// <summary>Distances from source to array.</summary>
    public IReadOnlyList<double> Arrays { get; init; } = [];

    /// <summary>Distances from source to spot.</summary>
    public IReadOnlyList<double> Spots { get; init; } = [];

    public IReadOnlyList<MeasuredPlace> Measured { get; init; } = [];

    /// <summary>Whom spots hear beside their own players, and what would help.</summary>
    public IReadOnlyList<BleedPlan> Bleed { get; init; } = [];

    public double DelaySamples(double arrayM, double spotM) => ExpectedDelay.Seconds(arrayM, spotM, SpeedOfSoundMps) * SampleRateHz;

    public static IReadOnlyList<MeasuredPlace> MeasuredPlaces(SessionDocument session, double speedOfSoundMps)
    {
        var places = new List<MeasuredPlace>();
        foreach (var spot in session.Spots)
        {
            if (spot.DistanceM is not { } arrayM || !(arrayM > 0))
                continue;
            double? spotM = spot.Delay is { } delay
                ? ExpectedDelay.SourceToSpotM(arrayM, delay.Samples / session.SampleRate, speedOfSoundMps)
                : null;
            // Distance and delay are measured apart, each with its error: a spot nearer than its own housing is not a distance.
            places.Add(new MeasuredPlace(spot.Id, arrayM, spotM is > 0.02 ? spotM : null, spot.Delay?.Samples));
        }
        return places;
    }
}
