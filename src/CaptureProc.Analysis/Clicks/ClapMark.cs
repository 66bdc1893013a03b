namespace CaptureProc.Analysis.Clicks;

/// <summary>A clap that a person has pointed to.</summary>
/// <param name="Seconds">When it is first heard; to within 0.3 s, or 0.05 s where the spot is stated.</param>
/// <param name="Spot">Index of the spot at which it was made; null leaves that to be found out.</param>
public readonly record struct ClapMark(double Seconds, int? Spot);
