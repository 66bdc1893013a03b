using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Com;

/// <summary>Which interfaces a kind of object answers to, and through which function table.</summary>
/// <remarks>
/// Thread: [main] while it is filled, [any] afterwards. One map a class, filled once, used by all of its objects.
/// Several ids may share one table: an interface begins with the table of the one that it extends.
/// FUnknown is always the first table, because an object has to answer it with one fixed pointer.
/// </remarks>
public sealed unsafe class InterfaceMap
{
    private readonly List<(Tuid Id, int Slot)> entries = [];
    private readonly List<nint> tables = [];

    internal int SlotCount => tables.Count;

    internal nint TableOf(int slot) => tables[slot];

    /// <summary>Adds a table and the ids that it serves; returns the slot by which an object finds its pointer.</summary>
    public int Add(void* table, params ReadOnlySpan<Tuid> ids)
    {
        var slot = tables.Count;
        if (slot == 0)
            entries.Add((FUnknown.Iid, 0));
        tables.Add((nint)table);
        foreach (var id in ids)
            entries.Add((id, slot));
        return slot;
    }

    /// <summary>The slot that answers an id, or −1.</summary>
    internal int SlotOf(Tuid id)
    {
        foreach (var entry in CollectionsMarshal.AsSpan(entries))
            if (entry.Id == id)
                return entry.Slot;
        return -1;
    }

    /// <summary>A zeroed function table that lives as long as the process: the host may hold on to it beyond any object.</summary>
    public static T* NewTable<T>()
        where T : unmanaged => (T*)NativeMemory.AllocZeroed((nuint)sizeof(T));
}
