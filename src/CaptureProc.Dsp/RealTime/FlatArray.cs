namespace CaptureProc.Dsp.RealTime;

/// <summary>Long arrays of numbers that live beside the objects.</summary>
/// <remarks>
/// Thread: [main]; allocates. In a plug-in what a collection walks through and moves decides how long it stops the audio thread;
/// a pinned array it neither scans nor moves.
/// </remarks>
public static class FlatArray
{
    /// <summary>All zero.</summary>
    public static T[] New<T>(int length)
        where T : unmanaged => GC.AllocateArray<T>(length, pinned: true);
}
