namespace CaptureProc.Wav;

/// <summary>A chunk of metadata to be written before the audio.</summary>
/// <param name="Id">Four characters.</param>
/// <param name="Contents">Without the chunk's own head and padding.</param>
public readonly record struct WavChunk(string Id, byte[] Contents);
