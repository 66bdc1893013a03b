using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>Takes a controller's edits and its news.</summary>
/// <remarks>Thread: [any].</remarks>
internal sealed unsafe class HostComponentHandler : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IComponentHandler.Iid);

    private readonly Action<uint, double> onEdit;
    private int restartFlags;

    public HostComponentHandler(Action<uint, double> onEdit)
        : base(Map) => this.onEdit = onEdit;

    /// <summary>All that has been reported since the last look.</summary>
    public RestartFlags TakeRestartFlags() => (RestartFlags)Interlocked.Exchange(ref restartFlags, 0);

    private static IComponentHandler.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IComponentHandler.Vtbl>();
        table->Base = UnknownTable;
        table->BeginEdit = &BeginEdit;
        table->PerformEdit = &PerformEdit;
        table->EndEdit = &EndEdit;
        table->RestartComponent = &RestartComponent;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int BeginEdit(void* self, uint id) => Result.Ok;

    [UnmanagedCallersOnly]
    private static int PerformEdit(void* self, uint id, double normalized)
    {
        try
        {
            From<HostComponentHandler>(self).onEdit(id, normalized);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int EndEdit(void* self, uint id) => Result.Ok;

    [UnmanagedCallersOnly]
    private static int RestartComponent(void* self, int flags)
    {
        try
        {
            Interlocked.Or(ref From<HostComponentHandler>(self).restartFlags, flags);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }
}
