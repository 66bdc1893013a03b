namespace CaptureProc.Vst3.Abi;

/// <summary>The parameters of a plug-in as the host's user sees them.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivsteditcontroller.h).</remarks>
public unsafe struct IEditController
{
    public Vtbl* Table;

    public static Tuid Iid => new(0xDCD7BBE3, 0x7742448D, 0xA874AACC, 0x979C759E);

    public struct Vtbl
    {
        public IPluginBase.Vtbl Base;

        public delegate* unmanaged<void*, IBStream*, int> SetComponentState;
        public delegate* unmanaged<void*, IBStream*, int> SetState;
        public delegate* unmanaged<void*, IBStream*, int> GetState;
        public delegate* unmanaged<void*, int> GetParameterCount;
        public delegate* unmanaged<void*, int, ParameterInfo*, int> GetParameterInfo;
        public delegate* unmanaged<void*, uint, double, char*, int> GetParamStringByValue;
        public delegate* unmanaged<void*, uint, char*, double*, int> GetParamValueByString;
        public delegate* unmanaged<void*, uint, double, double> NormalizedParamToPlain;
        public delegate* unmanaged<void*, uint, double, double> PlainParamToNormalized;
        public delegate* unmanaged<void*, uint, double> GetParamNormalized;
        public delegate* unmanaged<void*, uint, double, int> SetParamNormalized;
        public delegate* unmanaged<void*, IComponentHandler*, int> SetComponentHandler;
        public delegate* unmanaged<void*, byte*, void*> CreateView;
    }
}
