namespace CaptureProc.Vst3.Abi;

/// <summary>Frames of picture a second.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstprocesscontext.h).</remarks>
public unsafe struct FrameRate
{
    public uint FramesPerSecond;
    public uint Flags;
}
