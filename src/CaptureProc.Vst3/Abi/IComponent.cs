namespace CaptureProc.Vst3.Abi;

/// <summary>The sounding half of a plug-in: buses, activation, state.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstcomponent.h).</remarks>
public unsafe struct IComponent
{
    public Vtbl* Table;

    public static Tuid Iid => new(0xE831FF31, 0xF2D54301, 0x928EBBEE, 0x25697802);

    public struct Vtbl
    {
        public IPluginBase.Vtbl Base;

        public delegate* unmanaged<void*, Tuid*, int> GetControllerClassId;
        public delegate* unmanaged<void*, int, int> SetIoMode;
        public delegate* unmanaged<void*, int, int, int> GetBusCount;
        public delegate* unmanaged<void*, int, int, int, BusInfo*, int> GetBusInfo;
        public delegate* unmanaged<void*, RoutingInfo*, RoutingInfo*, int> GetRoutingInfo;
        public delegate* unmanaged<void*, int, int, int, byte, int> ActivateBus;
        public delegate* unmanaged<void*, byte, int> SetActive;
        public delegate* unmanaged<void*, IBStream*, int> SetState;
        public delegate* unmanaged<void*, IBStream*, int> GetState;
    }
}
