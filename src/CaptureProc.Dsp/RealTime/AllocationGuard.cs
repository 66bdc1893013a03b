namespace CaptureProc.Dsp.RealTime;

/// <summary>Watches a stretch of code on the audio thread and counts what it allocates on the managed heap.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never. Use: <c>using var guard = AllocationGuard.Enter();</c> as the first line of a process entry.
/// Off unless <see cref="IsArmed"/> is set, which tests and test builds do; then every byte is added to <see cref="StrayBytes"/>.
/// It counts instead of throwing: an exception on the audio thread would be worse than what it reports. Where something
/// has to be tolerated, wrap it in <see cref="Tolerate"/>, so that each exception to the rule is spelled where it happens.
/// </remarks>
public readonly ref struct AllocationGuard
{
    private const long NotWatching = -1;

    private static long strayBytes;

    [ThreadStatic]
    private static long toleratedBytes;

    private readonly long bytesAtEntry;

    private AllocationGuard(long bytesAtEntry) => this.bytesAtEntry = bytesAtEntry;

    /// <summary>[main] Whether guards count from now on.</summary>
    public static bool IsArmed { get; set; }

    /// <summary>[any] Bytes allocated inside guards, on all threads, since the last <see cref="Clear"/>.</summary>
    public static long StrayBytes => Interlocked.Read(ref strayBytes);

    public static void Clear() => Interlocked.Exchange(ref strayBytes, 0);

    public static AllocationGuard Enter() =>
        new(IsArmed ? GC.GetAllocatedBytesForCurrentThread() - toleratedBytes : NotWatching);

    /// <summary>A stretch inside a guard whose allocations do not count.</summary>
    public static Tolerance Tolerate() => new(GC.GetAllocatedBytesForCurrentThread());

    public void Dispose()
    {
        if (bytesAtEntry == NotWatching)
            return;
        var stray = GC.GetAllocatedBytesForCurrentThread() - toleratedBytes - bytesAtEntry;
        if (stray != 0)
            Interlocked.Add(ref strayBytes, stray);
    }

    public readonly ref struct Tolerance
    {
        private readonly long bytesAtEntry;

        internal Tolerance(long bytesAtEntry) => this.bytesAtEntry = bytesAtEntry;

        public void Dispose() => toleratedBytes += GC.GetAllocatedBytesForCurrentThread() - bytesAtEntry;
    }
}
