namespace CaptureProc.Vst3.Abi;

/// <summary>A stream of bytes that the host hands over for state; seek mode 0 from the start, 1 from here, 2 from the end.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ibstream.h).</remarks>
public unsafe struct IBStream
{
    public Vtbl* Table;

    public static Tuid Iid => new(0xC3BF6EA2, 0x30994752, 0x9B6BF990, 0x1EE33E9B);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, void*, int, int*, int> Read;
        public delegate* unmanaged<void*, void*, int, int*, int> Write;
        public delegate* unmanaged<void*, long, int, long*, int> Seek;
        public delegate* unmanaged<void*, long*, int> Tell;
    }
}
