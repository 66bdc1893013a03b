namespace CaptureProc.Vst3.Abi;

/// <summary>A rectangle of a host's window, in its pixels; right and bottom are the first ones outside.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (iplugview.h).</remarks>
public struct ViewRect
{
    public int Left;
    public int Top;
    public int Right;
    public int Bottom;
}
