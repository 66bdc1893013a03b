using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>How a source sends its sound out: Roundness + (1−Roundness)·cos θ about an axis, 1 on the axis.</summary>
/// <param name="Axis">Unit vector of the strongest direction.</param>
/// <param name="Roundness">1 sends evenly; 0.5 sends nothing to the back. Below 0.5 the back would come out inverted and is refused.</param>
public sealed record Radiation(Vector3D Axis, double Roundness)
{
    public static readonly Radiation Even = new(Vector3D.Front, 1);

    public double Roundness { get; } = Roundness is >= 0.5 and <= 1 ? Roundness
        : throw new ArgumentOutOfRangeException(nameof(Roundness), Roundness, "Roundness is 0.5 to 1.");

    /// <summary>How much less treble goes out at the back than on the axis; in between it grows with the angle.</summary>
    public double TrebleLossDb { get; init; }

    /// <summary>Pressure towards a direction (any length), relative to the axis.</summary>
    public double Towards(Vector3D direction) => Towards(direction, Axis);

    /// <summary>As above with the axis turned or mirrored elsewhere.</summary>
    public double Towards(Vector3D direction, Vector3D axis) =>
        Roundness + (1 - Roundness) * Vector3D.Dot(direction.Normalised(), axis);

    /// <summary>What is left of that in the treble: 1 on the axis and wherever nothing is lost.</summary>
    public double TrebleTowards(Vector3D direction, Vector3D axis) => TrebleLossDb == 0 ? 1
        : Math.Pow(10, -TrebleLossDb / 40 * (1 - Vector3D.Dot(direction.Normalised(), axis)));

    /// <summary>Mean over the sphere of the squared pressure: what feeds the reverberation.</summary>
    public double MeanSquare => Roundness * Roundness + (1 - Roundness) * (1 - Roundness) / 3;
}
