namespace CaptureProc.Rendering;

/// <summary>Something that a person has to know about work that was done: exit code 1.</summary>
/// <param name="Code">A short, lasting name for programs.</param>
/// <param name="Message">What it is and what to do about it, in one line.</param>
public sealed record Finding(string Code, string Message);
