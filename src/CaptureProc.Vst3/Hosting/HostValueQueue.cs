using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>The points of one parameter in one block.</summary>
/// <remarks>Thread: [audio] within a block, [main] between blocks. Points are kept in order of their frame; of two on one frame the later stays behind.</remarks>
internal sealed unsafe class HostValueQueue : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IParamValueQueue.Iid);

    // Room for what an ordinary block brings, so that a block rarely allocates.
    private readonly List<(int Frame, double Value)> points = new(64);

    public HostValueQueue()
        : base(Map)
    {
    }

    public uint Id { get; set; }

    public IReadOnlyList<(int Frame, double Value)> Points => points;

    public IParamValueQueue* Queue => (IParamValueQueue*)Pointer();

    public void Clear() => points.Clear();

    public int Add(int frame, double value)
    {
        var at = points.Count;
        while (at > 0 && points[at - 1].Frame > frame)
            at--;
        points.Insert(at, (frame, value));
        return at;
    }

    private static IParamValueQueue.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IParamValueQueue.Vtbl>();
        table->Base = UnknownTable;
        table->GetParameterId = &GetParameterId;
        table->GetPointCount = &GetPointCount;
        table->GetPoint = &GetPoint;
        table->AddPoint = &AddPoint;
        return table;
    }

    [UnmanagedCallersOnly]
    private static uint GetParameterId(void* self) => From<HostValueQueue>(self).Id;

    [UnmanagedCallersOnly]
    private static int GetPointCount(void* self) => From<HostValueQueue>(self).points.Count;

    [UnmanagedCallersOnly]
    private static int GetPoint(void* self, int index, int* frame, double* value)
    {
        var points = From<HostValueQueue>(self).points;
        if (index < 0 || index >= points.Count || frame == null || value == null)
            return Result.InvalidArgument;
        (*frame, *value) = points[index];
        return Result.Ok;
    }

    [UnmanagedCallersOnly]
    private static int AddPoint(void* self, int frame, double value, int* index)
    {
        try
        {
            var at = From<HostValueQueue>(self).Add(frame, value);
            if (index != null)
                *index = at;
            return Result.Ok;
        }
        catch
        {
            return Result.OutOfMemory;
        }
    }
}
