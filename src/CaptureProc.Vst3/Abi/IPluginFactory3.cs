namespace CaptureProc.Vst3.Abi;

/// <summary>The factory with names in UTF-16 and the host's context.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct IPluginFactory3
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x4555A2AB, 0xC1234E57, 0x9B122910, 0x36878931);

    public struct Vtbl
    {
        public IPluginFactory2.Vtbl Base;

        public delegate* unmanaged<void*, int, PClassInfoW*, int> GetClassInfoUnicode;
        public delegate* unmanaged<void*, FUnknown*, int> SetHostContext;
    }
}
