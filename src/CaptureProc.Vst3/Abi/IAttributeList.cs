namespace CaptureProc.Vst3.Abi;

/// <summary>Named values of a message. The text calls count bytes, two a character.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstattributes.h).</remarks>
public unsafe struct IAttributeList
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x1E5F0AEB, 0xCC7F4533, 0xA2544011, 0x38AD5EE4);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, byte*, long, int> SetInt;
        public delegate* unmanaged<void*, byte*, long*, int> GetInt;
        public delegate* unmanaged<void*, byte*, double, int> SetFloat;
        public delegate* unmanaged<void*, byte*, double*, int> GetFloat;
        public delegate* unmanaged<void*, byte*, char*, int> SetString;
        public delegate* unmanaged<void*, byte*, char*, uint, int> GetString;
        public delegate* unmanaged<void*, byte*, void*, uint, int> SetBinary;
        public delegate* unmanaged<void*, byte*, void**, uint*, int> GetBinary;
    }
}
