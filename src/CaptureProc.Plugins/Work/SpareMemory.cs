namespace CaptureProc.Plugins.Work;

/// <summary>Gives memory back to the system once nobody needs any.</summary>
internal static class SpareMemory
{
    /// <summary>Called by a worker that has nothing left to look at: the last instance is gone, so no audio thread of ours can be stopped by it.</summary>
    /// <remarks>An ordinary collection keeps what it frees for the next instance; hundreds of megabytes after a large project.</remarks>
    public static void GiveBack() => GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
}
