namespace CaptureProc.Vst3.Abi;

/// <summary>A chord of the host's chord track.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstprocesscontext.h).</remarks>
public unsafe struct Chord
{
    public byte KeyNote;
    public byte RootNote;
    public short ChordMask;
}
