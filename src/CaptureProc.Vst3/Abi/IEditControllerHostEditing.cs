namespace CaptureProc.Vst3.Abi;

/// <summary>How a host says that a hand is on a parameter that is no automation's business.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivsteditcontroller.h).</remarks>
public unsafe struct IEditControllerHostEditing
{
    public Vtbl* Table;

    public static Tuid Iid => new(0xC1271208, 0x70594098, 0xB9DD34B3, 0x6BB0195E);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, uint, int> BeginEditFromHost;
        public delegate* unmanaged<void*, uint, int> EndEditFromHost;
    }
}
