namespace CaptureProc.Vst3.Abi;

/// <summary>What a library says of one class.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct PClassInfo
{
    public Tuid Cid;
    public int Cardinality;
    public fixed byte Category[32];
    public fixed byte Name[64];
}
