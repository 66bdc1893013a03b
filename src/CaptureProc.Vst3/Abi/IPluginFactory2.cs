namespace CaptureProc.Vst3.Abi;

/// <summary>The factory with more said about each class.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct IPluginFactory2
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x0007B650, 0xF24B4C0B, 0xA464EDB9, 0xF00B2ABB);

    public struct Vtbl
    {
        public IPluginFactory.Vtbl Base;

        public delegate* unmanaged<void*, int, PClassInfo2*, int> GetClassInfo2;
    }
}
