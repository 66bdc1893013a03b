namespace CaptureProc.Vst3.Abi;

/// <summary>Which members of the process context a processor reads, as bits; 0 is none.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstaudioprocessor.h).</remarks>
public unsafe struct IProcessContextRequirements
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x2A654303, 0xEF764E3D, 0x95B5FE83, 0x730EF6D0);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, uint> GetProcessContextRequirements;
    }
}
