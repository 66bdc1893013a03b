namespace CaptureProc.Vst3.Effects;

/// <summary>What a library keeps on its managed heap, for tests and measurements.</summary>
/// <param name="LinkedBytes">Objects of the ordinary generations: what a collection walks through, and so what its pauses depend on.</param>
/// <param name="FlatBytes">Large and pinned arrays of numbers: a collection neither scans nor moves them.</param>
/// <remarks>Thread: [main]; collects everything first.</remarks>
public readonly record struct LiveHeap(long LinkedBytes, long FlatBytes)
{
    // Generations 0 to 2, then the heap of large objects, then that of pinned ones.
    private const int FirstFlat = 3;

    public static LiveHeap Measure()
    {
        GC.Collect();
        GC.WaitForPendingFinalizers();
        GC.Collect();
        var (linked, flat) = (0L, 0L);
        var generations = GC.GetGCMemoryInfo(GCKind.FullBlocking).GenerationInfo;
        for (var generation = 0; generation < generations.Length; generation++)
        {
            var info = generations[generation];
            var live = info.SizeAfterBytes - info.FragmentationAfterBytes;
            if (generation < FirstFlat)
                linked += live;
            else
                flat += live;
        }
        return new LiveHeap(linked, flat);
    }
}
