using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Microphones;

/// <summary>How one capsule differs from the point of first order that a data sheet promises; every part may be missing.</summary>
public sealed record CapsuleBuild
{
    /// <summary>Gain that the line-up leaves over.</summary>
    public double GainDb { get; init; }

    public ResponseCurve? Response { get; init; }

    /// <summary>Below this frequency the pattern goes over to omni (first order), as the slits behind a diaphragm close. Null = it stays.</summary>
    public double? OmniBelowHz { get; init; }

    /// <summary>What the pattern does in the treble. Null = it stays.</summary>
    public TreblePattern? Treble { get; init; }

    /// <summary>How far the capsule sits from its place.</summary>
    public Vector3D PlaceErrorM { get; init; }

    /// <summary>How the capsule's axis is turned away. Null = it is not.</summary>
    public Rotation3D? AxisTurn { get; init; }
}

/// <summary>The pattern in the treble: what is heard on the axis stays, the rest changes above a corner of second order.</summary>
/// <param name="SecondOrderPart">δ of δ·(P₂(cos γ) − 1): the sides get narrower, front and back stay.</param>
/// <param name="OffAxisLoss">Share that is lost towards the back: −loss·(1 − cos γ)/2.</param>
/// <remarks>Common practice, no source: a membrane is large for the wave, so it hears the sides less.</remarks>
public sealed record TreblePattern(double AboveHz, double SecondOrderPart, double OffAxisLoss)
{
    /// <summary>What is added to the pattern well above the corner.</summary>
    public double Change(double cosine) => SecondOrderPart * 1.5 * (cosine * cosine - 1) - OffAxisLoss * 0.5 * (1 - cosine);
}

/// <summary>A board close to a microphone (music stand, desk, the instrument's own body) that throws a second arrival in.</summary>
/// <param name="PointM">A point of its plane, in the room.</param>
/// <param name="Normal">Unit vector from the board towards the microphone.</param>
/// <param name="Strength">Pressure of the reflection over that of the arrival, in the treble; a board is too small for the bass.</param>
/// <remarks>The reflection of an image is the image mirrored at the plane: 2·height·cos θ/c later, 0.3-2 ms for stands and desks (common practice, no source).</remarks>
public sealed record ReflectingBoard(Vector3D PointM, Vector3D Normal, double Strength)
{
    public Vector3D Mirrored(Vector3D placeM) => placeM - 2 * Vector3D.Dot(placeM - PointM, Normal) * Normal;

    /// <summary>Whether a wave from a place falls on the side where the microphone is.</summary>
    public bool Faces(Vector3D placeM) => Vector3D.Dot(placeM - PointM, Normal) > 0;
}

/// <summary>How a microphone with its capsules really is; every part may be missing.</summary>
public sealed record MicrophoneBuild
{
    /// <summary>One a capsule, in the order of the channels; empty = all as promised.</summary>
    public IReadOnlyList<CapsuleBuild> Capsules { get; init; } = [];

    /// <summary>Radius of the body between the capsules, a rigid sphere; null = they hang in free air.</summary>
    public double? BodyRadiusM { get; init; }

    public ReflectingBoard? Board { get; init; }

    /// <summary>What the stand hands on of the stage floor's shaking, dB re <see cref="Sources.StageFloor"/>; null = the microphone hangs.</summary>
    public double? StandDb { get; init; }
}
