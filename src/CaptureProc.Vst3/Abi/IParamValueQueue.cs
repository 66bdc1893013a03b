namespace CaptureProc.Vst3.Abi;

/// <summary>The points of one parameter in one block: frame offset and normalized value.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstparameterchanges.h).</remarks>
public unsafe struct IParamValueQueue
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x01263A18, 0xED074F6F, 0x98C9D356, 0x4686F9BA);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, uint> GetParameterId;
        public delegate* unmanaged<void*, int> GetPointCount;
        public delegate* unmanaged<void*, int, int*, double*, int> GetPoint;
        public delegate* unmanaged<void*, int, double, int*, int> AddPoint;
    }
}
