using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>All queues of parameter points of one block. Queues are kept and used again.</summary>
/// <remarks>Thread: [audio] within a block, [main] between blocks.</remarks>
internal sealed unsafe class HostParameterChanges : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IParameterChanges.Iid);

    private readonly List<HostValueQueue> queues = new(64);
    private int used;

    public HostParameterChanges()
        : base(Map)
    {
    }

    public IParameterChanges* Changes => (IParameterChanges*)Pointer();

    public int Count => used;

    public HostValueQueue this[int index] => queues[index];

    public void Clear() => used = 0;

    public HostValueQueue QueueOf(uint id, out int index)
    {
        for (index = 0; index < used; index++)
            if (queues[index].Id == id)
                return queues[index];
        if (used == queues.Count)
            queues.Add(new HostValueQueue());
        var queue = queues[used++];
        queue.Id = id;
        queue.Clear();
        return queue;
    }

    protected override void OnReleased()
    {
        foreach (var queue in queues)
            queue.Release();
    }

    private static IParameterChanges.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IParameterChanges.Vtbl>();
        table->Base = UnknownTable;
        table->GetParameterCount = &GetParameterCount;
        table->GetParameterData = &GetParameterData;
        table->AddParameterData = &AddParameterData;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int GetParameterCount(void* self) => From<HostParameterChanges>(self).used;

    [UnmanagedCallersOnly]
    private static IParamValueQueue* GetParameterData(void* self, int index)
    {
        var changes = From<HostParameterChanges>(self);
        return index >= 0 && index < changes.used ? changes.queues[index].Queue : null;
    }

    [UnmanagedCallersOnly]
    private static IParamValueQueue* AddParameterData(void* self, uint* id, int* index)
    {
        try
        {
            if (id == null)
                return null;
            var queue = From<HostParameterChanges>(self).QueueOf(*id, out var at);
            if (index != null)
                *index = at;
            return queue.Queue;
        }
        catch
        {
            return null;
        }
    }
}
