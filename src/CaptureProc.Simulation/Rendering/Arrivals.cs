using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Rendering;

/// <summary>Everything that reaches a microphone from one source.</summary>
/// <param name="Images">The direct sound first, then the single reflections, then what is scattered and late.</param>
/// <param name="DirectCount">How many of them are the direct sound: a wide source has several points.</param>
/// <param name="DistinctCount">How many are direct or single reflections, which the body of an array answers; the diffuse rest is diffuse with and without.</param>
internal sealed record Arrivals(ImageSource[] Images, int DirectCount, int DistinctCount);
