using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Disturbances;
using CaptureProc.Simulation.Faults;
using CaptureProc.Simulation.Microphones;
using CaptureProc.Simulation.Sources;

namespace CaptureProc.Simulation.Scenes;

/// <summary>A player's place, where claps and music come from.</summary>
public sealed record SceneSource(string Id, Vector3D PositionM)
{
    public Radiation Radiation { get; init; } = Radiation.Even;

    /// <summary>How wide the source is; 0 = a point.</summary>
    public double WidthM { get; init; }
}

/// <summary>A tetrahedral (or any) capsule array at its acoustic centre; one channel a capsule.</summary>
/// <param name="Capsules">Geometry, pattern and mount; the mount turns it in the room's axes.</param>
/// <param name="GainErrorsDb">Gain of each channel beyond the common one; empty = none.</param>
public sealed record SceneArray(string Id, Vector3D CentreM, CapsuleArray Capsules)
{
    public IReadOnlyList<double> GainErrorsDb { get; init; } = [];

    /// <summary>How the microphone differs from what <see cref="Capsules"/> promises; null = not at all.</summary>
    public MicrophoneBuild? Build { get; init; }
}

/// <summary>A spot microphone: one capsule aimed at its source, or a small capsule array of its own.</summary>
/// <param name="SourceId">Whose spot it is.</param>
public sealed record SceneSpot(string Id, string SourceId, Vector3D PositionM)
{
    /// <summary>α of a mono spot.</summary>
    public double Pattern { get; init; } = 0.5;

    /// <summary>Where a mono spot looks; null = at its source.</summary>
    public Vector3D? Aim { get; init; }

    /// <summary>The capsules of a spot with several channels; null = a mono spot.</summary>
    public CapsuleArray? Capsules { get; init; }

    /// <summary>Gain of the spot's channels beyond the common one.</summary>
    public double LevelOffsetDb { get; init; }

    /// <summary>The spot's channels come inverted.</summary>
    public bool Inverted { get; init; }

    /// <summary>How the microphone differs from what is said above; null = not at all.</summary>
    public MicrophoneBuild? Build { get; init; }
}

/// <summary>The sound of a slate.</summary>
public enum ClickKind
{
    /// <summary>Two hands: a broadband burst that dies away in a few milliseconds.</summary>
    Clap,

    /// <summary>Two pieces of wood: harder and a little longer, with a few tones of its own.</summary>
    Slate,

    /// <summary>Two claps that were meant as one, 8 to 30 ms apart.</summary>
    Flam,

    /// <summary>A slate of thin wood whose boards ring on for 10 to 30 ms.</summary>
    RingingSlate,
}

/// <summary>One click at a source.</summary>
/// <param name="TimeSeconds">When the burst begins at the source.</param>
public sealed record ClickEvent(double TimeSeconds, string SourceId)
{
    public ClickKind Kind { get; init; }

    /// <summary>Peak pressure at 1 m on the source's axis, dB re 1.</summary>
    public double LevelDb { get; init; }

    /// <summary>The source's own spots clip this far below the click's peak; null = they do not.</summary>
    public double? ClippedByDb { get; init; }

    /// <summary>A recorded sound instead of an invented one: at the scene's rate, peak 1, band-limited to 0.9 of Nyquist; null = <see cref="Kind"/>.</summary>
    public double[]? Recorded { get; init; }

    /// <summary>How far from the source's place the click was: people move between claps.</summary>
    public Vector3D OffsetM { get; init; }
}

/// <summary>Any other sound at a source, at the scene's rate and band-limited to 0.9 of Nyquist.</summary>
/// <param name="Samples">Pressure at 1 m on the source's axis.</param>
public sealed record ProgrammeEvent(double TimeSeconds, string SourceId, double[] Samples);

/// <summary>Noise of the microphones and their amplifiers, independent in every channel.</summary>
/// <param name="SignalToNoiseDb">
/// Peak of the direct sound over noise RMS: in the array, the peak as it stands in W and the noise as it stands in W after a
/// plain matrix; in a spot, the peak of its own source's click. The reference is the mean, in dB, over the clicks.
/// Without clicks: RMS of the whole programme in the channel over noise RMS.
/// </param>
/// <param name="PinkShare">Share of the noise power that is pink (20 Hz upwards); the rest is white.</param>
public sealed record NoiseFloor(double SignalToNoiseDb, double PinkShare = 0);

/// <summary>Everything there is to hear, and who hears it.</summary>
/// <remarks>Channels: those of the arrays in order, then those of the spots in order. Everything by chance hangs on <see cref="Seed"/>.</remarks>
public sealed record Scene(Room Room, double SampleRateHz, double DurationSeconds, ulong Seed)
{
    public IReadOnlyList<SceneArray> Arrays { get; init; } = [];

    public IReadOnlyList<SceneSpot> Spots { get; init; } = [];

    public IReadOnlyList<SceneSource> Sources { get; init; } = [];

    public IReadOnlyList<ClickEvent> Clicks { get; init; } = [];

    public IReadOnlyList<ProgrammeEvent> Programme { get; init; } = [];

    /// <summary>Null = no noise at all.</summary>
    public NoiseFloor? Noise { get; init; }

    /// <summary>What hums and rushes besides the microphones; it needs <see cref="Noise"/>, by which it is measured.</summary>
    public IReadOnlyList<Background> Background { get; init; } = [];

    /// <summary>What stands in the way of direct sounds.</summary>
    public IReadOnlyList<SourceBody> Bodies { get; init; } = [];

    /// <summary>A floor that carries; null = it does not.</summary>
    public StageFloor? StageFloor { get; init; }

    public IReadOnlyList<ChannelFault> Faults { get; init; } = [];

    /// <summary>Responses end after this long even where the room rings on.</summary>
    public double LongestTailSeconds { get; init; } = 1.2;

    /// <summary>Direct sound only: no walls, no tail.</summary>
    public bool FreeField { get; init; }

    /// <summary>Nothing but what counts as direct sound: no walls, boards, floor, nor the second wave round a body.</summary>
    public bool DirectOnly { get; init; }

    /// <summary>Points as sources, microphones as promised, even walls and nothing in the way: then the delay meant is that of the geometry.</summary>
    public bool IsIdeal =>
        Background.Count == 0 && Bodies.Count == 0 && StageFloor is null && Faults.Count == 0 && !DirectOnly
        && Room is { Surfaces: null, WallScattering: 0 } && Room.BassReverberationSeconds == Room.ReverberationSeconds
        && All(Arrays, array => array.Build is null) && All(Spots, spot => spot.Build is null)
        && All(Sources, source => source.WidthM == 0 && source.Radiation.TrebleLossDb == 0)
        && All(Clicks, click => click.Recorded is null && click.OffsetM == default);

    /// <summary>The same scene with only the direct sounds of its clicks, to see what <see cref="SpotTruth.DelaySamples"/> lines up.</summary>
    public Scene OnlyDirect() => this with { DirectOnly = true, StageFloor = null, Noise = null, Background = [], Programme = [], Faults = [] };

    public SceneSource Source(string id)
    {
        foreach (var source in Sources)
            if (source.Id == id)
                return source;
        throw new ArgumentException($"The scene has no source '{id}'.", nameof(id));
    }

    private static bool All<T>(IReadOnlyList<T> items, Predicate<T> holds)
    {
        foreach (var item in items)
            if (!holds(item))
                return false;
        return true;
    }
}
