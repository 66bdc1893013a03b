using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>One arrival: a point source in free air whose spherical wave stands for a reflection (or for the direct sound).</summary>
/// <param name="PositionM">Where the wave seems to come from.</param>
/// <param name="Gain">Pressure at 1 m, below the room's crossover.</param>
/// <param name="HighGain">The same well above the crossover.</param>
public readonly record struct ImageSource(Vector3D PositionM, double Gain, double HighGain);
