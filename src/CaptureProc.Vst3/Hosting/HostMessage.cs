using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>A message between a component and its controller.</summary>
/// <remarks>Thread: [main]. The name is handed out as a pointer, so it lives in native memory until the message goes.</remarks>
internal sealed unsafe class HostMessage : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IMessage.Iid);

    private readonly HostAttributes attributes = new();
    private byte* name;

    public HostMessage()
        : base(Map)
    {
    }

    protected override void OnReleased()
    {
        NativeMemory.Free(name);
        attributes.Release();
    }

    private static IMessage.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IMessage.Vtbl>();
        table->Base = UnknownTable;
        table->GetMessageId = &GetMessageId;
        table->SetMessageId = &SetMessageId;
        table->GetAttributes = &GetAttributes;
        return table;
    }

    [UnmanagedCallersOnly]
    private static byte* GetMessageId(void* self) => From<HostMessage>(self).name;

    [UnmanagedCallersOnly]
    private static void SetMessageId(void* self, byte* id)
    {
        try
        {
            var message = From<HostMessage>(self);
            NativeMemory.Free(message.name);
            message.name = null;
            if (id == null)
                return;
            var given = MemoryMarshal.CreateReadOnlySpanFromNullTerminated(id);
            message.name = (byte*)NativeMemory.AllocZeroed((nuint)given.Length + 1);
            given.CopyTo(new Span<byte>(message.name, given.Length));
        }
        catch
        {
            // The call has no result; a message without its name is what the plug-in sees.
        }
    }

    // Lent, not counted: that is what plug-ins expect of this call.
    [UnmanagedCallersOnly]
    private static IAttributeList* GetAttributes(void* self) => (IAttributeList*)From<HostMessage>(self).attributes.Pointer();
}
