namespace CaptureProc.Vst3.Effects;

/// <summary>Watches that processing allocates nothing, in builds made for that (<c>-p:AudioGuard=true</c>).</summary>
/// <remarks>
/// Thread: [audio]. In ordinary builds both calls are empty.
/// The bytes are counted over the whole entry of process and of activation, which hosts also call on the audio thread, from the
/// first call of a fresh instance on.
/// </remarks>
public static class AudioThreadGuard
{
    private static long allocatedBytes;
    private static long calls;

#if AUDIO_GUARD
    public static bool IsOn => true;
#else
    public static bool IsOn => false;
#endif

    /// <summary>Managed bytes that process calls of this library have allocated so far.</summary>
    public static long AllocatedBytes => Volatile.Read(ref allocatedBytes);

    /// <summary>Process calls that were watched.</summary>
    public static long Calls => Volatile.Read(ref calls);

    internal static long Enter() => IsOn ? GC.GetAllocatedBytesForCurrentThread() : 0;

    internal static void Leave(long before)
    {
        if (!IsOn)
            return;
        Interlocked.Increment(ref calls);
        var bytes = GC.GetAllocatedBytesForCurrentThread() - before;
        if (bytes != 0)
            Interlocked.Add(ref allocatedBytes, bytes);
    }
}
