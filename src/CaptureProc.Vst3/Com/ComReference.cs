using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Com;

/// <summary>A counted reference to a native interface, given back by Dispose.</summary>
/// <remarks>Thread: [main]. T is one of the interface structs of Abi; all of them begin with the table of FUnknown.</remarks>
public sealed unsafe class ComReference<T> : IDisposable
    where T : unmanaged
{
    private T* pointer;

    private ComReference(T* pointer) => this.pointer = pointer;

    public T* Pointer => pointer != null ? pointer : throw new ObjectDisposedException(typeof(T).Name);

    /// <summary>Takes over a reference that the caller already owns (a result of createInstance or queryInterface).</summary>
    public static ComReference<T>? Own(void* counted) => counted == null ? null : new((T*)counted);

    /// <summary>Counts one up and keeps that (an argument that is only lent).</summary>
    public static ComReference<T>? Share(void* lent)
    {
        if (lent == null)
            return null;
        ((FUnknown*)lent)->Table->AddRef(lent);
        return new((T*)lent);
    }

    /// <summary>Asks an object for an interface; null when it does not have it.</summary>
    /// <remarks>Some hosts answer "ok" with a null pointer, so both are looked at.</remarks>
    public static ComReference<T>? Query(void* unknown, Tuid id)
    {
        void* result = null;
        return ((FUnknown*)unknown)->Table->QueryInterface(unknown, &id, &result) == Result.Ok ? Own(result) : null;
    }

    public void Dispose()
    {
        var released = pointer;
        pointer = null;
        if (released != null)
            ((FUnknown*)released)->Table->Release(released);
    }
}
