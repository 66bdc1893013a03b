using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.Arm;
using System.Runtime.Intrinsics.X86;

namespace CaptureProc.Wav.Samples;

/// <summary>Frames of four channels to four planar channels and back: four frames at a time, as a 4x4 transposition in registers.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. Four is what an A-format or first-order file has, and the loop over single samples was the
/// largest part of reading and writing one. Both directions are the same transposition.
/// </remarks>
internal static class FourChannels
{
    /// <summary>Whether this processor has the instructions; without them the plain loops of <see cref="Interleaving"/> do the work.</summary>
    public static bool IsSupported => Sse.IsSupported || AdvSimd.Arm64.IsSupported;

    public static void Take(ReadOnlySpan<float> interleaved, Span<float> a, Span<float> b, Span<float> c, Span<float> d)
    {
        var groups = MemoryMarshal.Cast<float, Vector128<float>>(interleaved);
        var toA = Groups(a);
        var toB = Groups(b);
        var toC = Groups(c);
        var toD = Groups(d);
        for (var i = 0; i < toA.Length; i++)
            (toA[i], toB[i], toC[i], toD[i]) = Transpose(groups[4 * i], groups[4 * i + 1], groups[4 * i + 2], groups[4 * i + 3]);
        for (var n = 4 * toA.Length; n < a.Length; n++)
            (a[n], b[n], c[n], d[n]) = (interleaved[4 * n], interleaved[4 * n + 1], interleaved[4 * n + 2], interleaved[4 * n + 3]);
    }

    public static void Put(ReadOnlySpan<float> a, ReadOnlySpan<float> b, ReadOnlySpan<float> c, ReadOnlySpan<float> d, Span<float> interleaved)
    {
        var groups = MemoryMarshal.Cast<float, Vector128<float>>(interleaved);
        var fromA = Groups(a);
        var fromB = Groups(b);
        var fromC = Groups(c);
        var fromD = Groups(d);
        for (var i = 0; i < fromA.Length; i++)
            (groups[4 * i], groups[4 * i + 1], groups[4 * i + 2], groups[4 * i + 3]) = Transpose(fromA[i], fromB[i], fromC[i], fromD[i]);
        for (var n = 4 * fromA.Length; n < a.Length; n++)
            (interleaved[4 * n], interleaved[4 * n + 1], interleaved[4 * n + 2], interleaved[4 * n + 3]) = (a[n], b[n], c[n], d[n]);
    }

    private static Span<Vector128<float>> Groups(Span<float> samples) => MemoryMarshal.Cast<float, Vector128<float>>(samples);

    private static ReadOnlySpan<Vector128<float>> Groups(ReadOnlySpan<float> samples) => MemoryMarshal.Cast<float, Vector128<float>>(samples);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal static (Vector128<float>, Vector128<float>, Vector128<float>, Vector128<float>) Transpose(
        Vector128<float> r0, Vector128<float> r1, Vector128<float> r2, Vector128<float> r3)
    {
        var (low02, high02) = (ZipLow(r0, r2), ZipHigh(r0, r2));
        var (low13, high13) = (ZipLow(r1, r3), ZipHigh(r1, r3));
        return (ZipLow(low02, low13), ZipHigh(low02, low13), ZipLow(high02, high13), ZipHigh(high02, high13));
    }

    // x0 y0 x1 y1 and x2 y2 x3 y3.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<float> ZipLow(Vector128<float> x, Vector128<float> y) =>
        Sse.IsSupported ? Sse.UnpackLow(x, y) : AdvSimd.Arm64.ZipLow(x, y);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<float> ZipHigh(Vector128<float> x, Vector128<float> y) =>
        Sse.IsSupported ? Sse.UnpackHigh(x, y) : AdvSimd.Arm64.ZipHigh(x, y);
}
