namespace CaptureProc.Vst3.Abi;

/// <summary>A message with a name and attributes, made by the host.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstmessage.h).</remarks>
public unsafe struct IMessage
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x936F033B, 0xC6C047DB, 0xBB0882F8, 0x13C1E613);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, byte*> GetMessageId;
        public delegate* unmanaged<void*, byte*, void> SetMessageId;
        public delegate* unmanaged<void*, IAttributeList*> GetAttributes;
    }
}
