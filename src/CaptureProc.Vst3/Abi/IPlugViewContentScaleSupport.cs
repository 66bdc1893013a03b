namespace CaptureProc.Vst3.Abi;

/// <summary>A view that the host can tell how many pixels its screen has for one.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (iplugviewcontentscalesupport.h).</remarks>
public unsafe struct IPlugViewContentScaleSupport
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x65ED9690, 0x8AC44525, 0x8AADEF7A, 0x72EA703F);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, float, int> SetContentScaleFactor;
    }
}
