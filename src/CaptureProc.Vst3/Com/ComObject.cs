using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Com;

/// <summary>A managed object that native code holds by counted references.</summary>
/// <remarks>
/// Thread: [any]; counting is atomic.
/// In native memory an object is a row of slots, one for each function table: a pointer to the table, then a handle that
/// leads back here. The pointer that native code sees is the address of a slot. The handle keeps the managed object alive
/// until the last reference is gone; then the slots are freed and <see cref="OnReleased"/> runs once.
/// The maker owns the first reference and gives it back with <see cref="Release"/>.
/// </remarks>
public abstract unsafe class ComObject
{
    private readonly InterfaceMap map;
    private Slot* slots;
    private GCHandle<ComObject> handle;
    private int references = 1;

    protected ComObject(InterfaceMap map)
    {
        this.map = map;
        slots = (Slot*)NativeMemory.Alloc((nuint)(map.SlotCount * sizeof(Slot)));
        handle = new GCHandle<ComObject>(this);
        for (var i = 0; i < map.SlotCount; i++)
            slots[i] = new Slot { Table = (void*)map.TableOf(i), Owner = GCHandle<ComObject>.ToIntPtr(handle) };
    }

    public int ReferenceCount => Volatile.Read(ref references);

    /// <summary>The address by which native code knows one table of this object; not counted.</summary>
    public void* Pointer(int slot = 0) => slots + slot;

    public uint AddRef() => (uint)Interlocked.Increment(ref references);

    public uint Release()
    {
        var left = Interlocked.Decrement(ref references);
        if (left == 0)
        {
            var released = slots;
            slots = null;
            handle.Dispose();
            NativeMemory.Free(released);
            OnReleased();
        }
        return (uint)left;
    }

    /// <summary>Hands out a counted pointer for an interface id, or null and "no interface".</summary>
    public int QueryInterface(Tuid id, void** result)
    {
        var slot = map.SlotOf(id);
        if (slot < 0)
        {
            *result = null;
            return Result.NoInterface;
        }
        AddRef();
        *result = slots + slot;
        return Result.Ok;
    }

    /// <summary>The managed object behind a pointer that this class gave out.</summary>
    public static T From<T>(void* self)
        where T : ComObject => Unsafe.As<T>(GCHandle<ComObject>.FromIntPtr(((Slot*)self)->Owner).Target);

    /// <summary>The three functions that every table begins with.</summary>
    public static FUnknown.Vtbl UnknownTable => new() { QueryInterface = &QueryInterfaceEntry, AddRef = &AddRefEntry, Release = &ReleaseEntry };

    /// <summary>Runs once, after the last reference is gone.</summary>
    protected virtual void OnReleased()
    {
    }

    [UnmanagedCallersOnly]
    private static int QueryInterfaceEntry(void* self, Tuid* id, void** result)
    {
        try
        {
            if (result == null)
                return Result.InvalidArgument;
            *result = null;
            return id == null ? Result.InvalidArgument : From<ComObject>(self).QueryInterface(*id, result);
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static uint AddRefEntry(void* self)
    {
        try
        {
            return From<ComObject>(self).AddRef();
        }
        catch
        {
            return 0;
        }
    }

    [UnmanagedCallersOnly]
    private static uint ReleaseEntry(void* self)
    {
        try
        {
            return From<ComObject>(self).Release();
        }
        catch
        {
            // The count has gone to zero and the slots are freed; only the owner's own clean-up failed, and there is no
            // way to tell the host.
            return 0;
        }
    }

    private struct Slot
    {
        public void* Table;
        public nint Owner;
    }
}
