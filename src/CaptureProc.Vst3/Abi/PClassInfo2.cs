namespace CaptureProc.Vst3.Abi;

/// <summary>What a library says of one class, second version.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct PClassInfo2
{
    public Tuid Cid;
    public int Cardinality;
    public fixed byte Category[32];
    public fixed byte Name[64];
    public uint ClassFlags;
    public fixed byte SubCategories[128];
    public fixed byte Vendor[64];
    public fixed byte Version[64];
    public fixed byte SdkVersion[64];
}

/// <summary>Bits of <see cref="PClassInfo2.ClassFlags"/>.</summary>
[Flags]
public enum ComponentFlags : uint
{
    Distributable = 1 << 0,
    SimpleModeSupported = 1 << 1,
}
