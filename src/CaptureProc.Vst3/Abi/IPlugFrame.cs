namespace CaptureProc.Vst3.Abi;

/// <summary>The host's frame round a view: asked for another size.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (iplugview.h).</remarks>
public unsafe struct IPlugFrame
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x367FAF01, 0xAFA94693, 0x8D4DA2A0, 0xED0882A3);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, IPlugView*, ViewRect*, int> ResizeView;
    }
}
