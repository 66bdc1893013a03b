using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>A list of notes that is always empty: some effects read it without asking whether there is one.</summary>
/// <remarks>Thread: [audio].</remarks>
internal sealed unsafe class HostEventList : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IEventList.Iid);

    public HostEventList()
        : base(Map)
    {
    }

    private static IEventList.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IEventList.Vtbl>();
        table->Base = UnknownTable;
        table->GetEventCount = &GetEventCount;
        table->GetEvent = &GetEvent;
        table->AddEvent = &AddEvent;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int GetEventCount(void* self) => 0;

    [UnmanagedCallersOnly]
    private static int GetEvent(void* self, int index, void* target) => Result.InvalidArgument;

    // Notes that an effect makes have nowhere to go.
    [UnmanagedCallersOnly]
    private static int AddEvent(void* self, void* source) => Result.Ok;
}
