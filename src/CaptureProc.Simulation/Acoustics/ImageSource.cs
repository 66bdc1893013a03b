using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>One arrival: a point source in free air whose spherical wave stands for a reflection (or for the direct sound).</summary>
/// <param name="PositionM">Where the wave seems to come from.</param>
/// <param name="Gain">Pressure at 1 m, below the room's crossover (and above the bass).</param>
/// <param name="HighGain">The same well above the crossover.</param>
public readonly record struct ImageSource(Vector3D PositionM, double Gain, double HighGain)
{
    /// <summary>The same well below <see cref="Room.BassCrossoverHz"/>; as above it unless said.</summary>
    public double BassGain { get; init; } = Gain;

    /// <summary>The same arrival weaker or stronger by a factor in all bands.</summary>
    public ImageSource Times(double factor) =>
        new(PositionM, factor * Gain, factor * HighGain) { BassGain = factor * BassGain };
}
