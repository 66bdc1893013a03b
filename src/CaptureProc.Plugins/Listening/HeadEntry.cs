using CaptureProc.Dsp.Binaural;

namespace CaptureProc.Plugins.Listening;

/// <summary>One published head as the plug-ins of this process know it. Immutable.</summary>
/// <param name="Name">Under which it is published.</param>
/// <param name="Decoder">Null where the file cannot be read as one.</param>
internal sealed record HeadEntry(string Name, BinauralDecoder? Decoder);
