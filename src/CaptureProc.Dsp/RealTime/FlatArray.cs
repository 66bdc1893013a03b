namespace CaptureProc.Dsp.RealTime;

/// <summary>Long arrays of numbers that live beside the objects.</summary>
/// <remarks>
/// Thread: [main]; allocates. In a plug-in what a collection walks through and moves decides how long it stops the audio thread;
/// a pinned array it neither scans nor moves.
/// </remarks>
public static class FlatArray
{
    /// <summary>All zero, and written to: the system gives a page at its first touch, which must not be the audio thread's.</summary>
    public static T[] New<T>(int length)
        where T : unmanaged
    {
        var array = GC.AllocateUninitializedArray<T>(length, pinned: true);
        array.AsSpan().Clear();
        return array;
    }
}
