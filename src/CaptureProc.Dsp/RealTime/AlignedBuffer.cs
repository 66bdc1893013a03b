using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.RealTime;

/// <summary>A flat run of samples that starts on a cache line and never moves.</summary>
/// <remarks>
/// Thread: [main] to make, then whoever owns it. Allocates: in the constructor only. Shape: Length elements, zero at first.
/// An ordinary array starts 16 bytes off, so that every second 32-byte vector straddles two cache lines. The array lives on
/// the pinned heap, where the collector neither moves nor scans it; freeing needs no care, unlike native memory.
/// </remarks>
public sealed class AlignedBuffer<T>
    where T : unmanaged
{
    private const int CacheLineBytes = 64;

    private readonly T[] storage;
    private readonly int start;

    public AlignedBuffer(int length)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(length);
        var slack = CacheLineBytes / Unsafe.SizeOf<T>();
        storage = FlatArray.New<T>(length + slack);
        var address = Marshal.UnsafeAddrOfPinnedArrayElement(storage, 0);
        var bytesOff = (int)(address % CacheLineBytes);
        start = bytesOff == 0 ? 0 : (CacheLineBytes - bytesOff) / Unsafe.SizeOf<T>();
        Length = length;
    }

    public int Length { get; }

    public Span<T> Span => MemoryMarshal.CreateSpan(ref First, Length);

    /// <summary>The first element, for kernels that walk by offset without bounds checks.</summary>
    public ref T First => ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(storage), start);

    public void Clear() => Span.Clear();
}
