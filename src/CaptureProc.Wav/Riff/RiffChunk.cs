namespace CaptureProc.Wav.Riff;

/// <summary>Where the contents of a chunk lie in the file.</summary>
/// <param name="Id">Four characters.</param>
/// <param name="Offset">First byte of the contents.</param>
/// <param name="DeclaredBytes">Length that the file claims, which a broken recording does not hold.</param>
internal readonly record struct RiffChunk(string Id, long Offset, long DeclaredBytes);
