using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>Who heard which clap when, and from where: all that the places on a stage are found from.</summary>
/// <remarks>
/// Microphones are numbered through: first the arrays, the main one as number 0, then the spots. Times of a clap share one zero,
/// whichever it is; directions are in the axes that the array's mount states.
/// </remarks>
/// <param name="ArrayCount">At least one.</param>
/// <param name="SpotCount">Spots.</param>
/// <param name="Claps">In any order.</param>
/// <param name="SpeedOfSoundMps">Metres a second.</param>
public sealed record StageInput(int ArrayCount, int SpotCount, IReadOnlyList<StageClap> Claps, double SpeedOfSoundMps)
{
    /// <summary>Distances from the main array that somebody has taped.</summary>
    public IReadOnlyList<TapedDistance> Taped { get; init; } = [];

    /// <summary>Places that are known from before; they hold their spots like a measurement.</summary>
    public IReadOnlyList<KnownPlace> Known { get; init; } = [];

    public int MicrophoneCount => ArrayCount + SpotCount;

    public int MicrophoneOf(int spot) => ArrayCount + spot;
}

/// <summary>One clap.</summary>
/// <param name="Spot">At which spot it was made, as far as is known; null = nobody says.</param>
public sealed record StageClap(int? Spot, IReadOnlyList<HeardTime> Times, IReadOnlyList<HeardDirection> Directions);

/// <summary>When a microphone heard a clap, and the standard deviation of that.</summary>
public readonly record struct HeardTime(int Microphone, double Seconds, double SigmaSeconds);

/// <summary>From where an array heard a clap: a unit vector, and the standard deviation about each of two axes.</summary>
public readonly record struct HeardDirection(int Array, Vector3D Direction, double SigmaRad);

/// <summary>From the main array's centre to a spot's microphone, by tape.</summary>
public readonly record struct TapedDistance(int Spot, double Metres, double SigmaM);

/// <summary>Where a spot stood in an earlier slate.</summary>
public sealed record KnownPlace(int Spot, StagePlace Place);
