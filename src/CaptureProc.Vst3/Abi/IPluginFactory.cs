namespace CaptureProc.Vst3.Abi;

/// <summary>The list of classes of a library, and their maker.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ipluginbase.h).</remarks>
public unsafe struct IPluginFactory
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x7A4D811C, 0x52114A1F, 0xAED9D2EE, 0x0B43BF9F);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, PFactoryInfo*, int> GetFactoryInfo;
        public delegate* unmanaged<void*, int> CountClasses;
        public delegate* unmanaged<void*, int, PClassInfo*, int> GetClassInfo;
        public delegate* unmanaged<void*, Tuid*, Tuid*, void**, int> CreateInstance;
    }
}
