using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Scenes;

/// <summary>A player's place, where claps and music come from.</summary>
public sealed record SceneSource(string Id, Vector3D PositionM)
{
    public Radiation Radiation { get; init; } = Radiation.Even;
}

/// <summary>A tetrahedral (or any) capsule array at its acoustic centre; one channel a capsule.</summary>
/// <param name="Capsules">Geometry, pattern and mount; the mount turns it in the room's axes.</param>
/// <param name="GainErrorsDb">Gain of each channel beyond the common one; empty = none.</param>
public sealed record SceneArray(string Id, Vector3D CentreM, CapsuleArray Capsules)
{
    public IReadOnlyList<double> GainErrorsDb { get; init; } = [];
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

    /// <summary>Responses end after this long even where the room rings on.</summary>
    public double LongestTailSeconds { get; init; } = 1.2;

    /// <summary>Direct sound only: no walls, no tail.</summary>
    public bool FreeField { get; init; }

    public SceneSource Source(string id)
    {
        foreach (var source in Sources)
            if (source.Id == id)
                return source;
        throw new ArgumentException($"The scene has no source '{id}'.", nameof(id));
    }
}
