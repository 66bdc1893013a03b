namespace CaptureProc.Vst3.Abi;

/// <summary>The private line between a component and its separate controller.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstmessage.h).</remarks>
public unsafe struct IConnectionPoint
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x70A4156F, 0x6E6E4026, 0x989148BF, 0xAA60D8D1);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, IConnectionPoint*, int> Connect;
        public delegate* unmanaged<void*, IConnectionPoint*, int> Disconnect;
        public delegate* unmanaged<void*, IMessage*, int> Notify;
    }
}
