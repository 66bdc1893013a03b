namespace CaptureProc.Vst3.Views;

/// <summary>Where a view draws: rows of 32-bit pixels in native memory, blue in the lowest byte, then green, red and one unused.</summary>
/// <remarks>Thread: [main]. Valid until the next surface is handed over or the view is closed.</remarks>
public readonly record struct PixelSurface(nint Pixels, int Width, int Height, int StrideBytes);

/// <summary>A rectangle of a surface, in its pixels.</summary>
public readonly record struct PixelRect(int X, int Y, int Width, int Height);
