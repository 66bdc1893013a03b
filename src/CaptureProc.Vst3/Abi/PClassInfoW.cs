namespace CaptureProc.Vst3.Abi;

/// <summary>What a library says of one class, with names in UTF-16.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct PClassInfoW
{
    public Tuid Cid;
    public int Cardinality;
    public fixed byte Category[32];
    public fixed char Name[64];
    public uint ClassFlags;
    public fixed byte SubCategories[128];
    public fixed char Vendor[64];
    public fixed char Version[64];
    public fixed char SdkVersion[64];
}
