namespace CaptureProc.Vst3.Abi;

/// <summary>All queues of parameter points of one block.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstparameterchanges.h).</remarks>
public unsafe struct IParameterChanges
{
    public Vtbl* Table;

    public static Tuid Iid => new(0xA4779663, 0x0BB64A56, 0xB44384A8, 0x466FEB9D);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, int> GetParameterCount;
        public delegate* unmanaged<void*, int, IParamValueQueue*> GetParameterData;
        public delegate* unmanaged<void*, uint*, int*, IParamValueQueue*> AddParameterData;
    }
}
