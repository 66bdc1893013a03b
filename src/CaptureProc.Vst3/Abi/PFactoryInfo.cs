namespace CaptureProc.Vst3.Abi;

/// <summary>Who made the library. Text in UTF-8, closed by a zero.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct PFactoryInfo
{
    public fixed byte Vendor[64];
    public fixed byte Url[256];
    public fixed byte Email[128];
    public int Flags;
}

/// <summary>Bits of <see cref="PFactoryInfo.Flags"/>.</summary>
[Flags]
public enum FactoryFlags : int
{
    ComponentNonDiscardable = 1 << 3,
    Unicode = 1 << 4,
}
