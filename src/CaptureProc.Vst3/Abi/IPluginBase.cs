namespace CaptureProc.Vst3.Abi;

/// <summary>What every created object starts and ends with.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct IPluginBase
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x22888DDB, 0x156E45AE, 0x8358B348, 0x08190625);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, FUnknown*, int> Initialize;
        public delegate* unmanaged<void*, int> Terminate;
    }
}
