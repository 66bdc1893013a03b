using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Dsp.Delay;

/// <summary>Thirty-two frames of one FIR filter on one channel.</summary>
/// <remarks>Thread: [audio]. Allocates: never. Four vectors of sums hide the latency of the multiply-add.</remarks>
internal static class DelayKernelLoop
{
    public const int Frames = 32;

    /// <summary>
    /// output[n] = Σ taps[k]·newest[n − k] for n in 0..31: the tapCount − 1 samples before <paramref name="newest"/> and the 31 after it are read.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Run(ref float newest, ReadOnlySpan<float> taps, ref float output)
    {
        const nuint Lanes = 8;
        Vector256<float> a = default, b = default, c = default, d = default;
        foreach (var tap in taps)
        {
            var factor = Vector256.Create(tap);
            a = Vector256.MultiplyAddEstimate(factor, Vector256.LoadUnsafe(ref newest), a);
            b = Vector256.MultiplyAddEstimate(factor, Vector256.LoadUnsafe(ref newest, Lanes), b);
            c = Vector256.MultiplyAddEstimate(factor, Vector256.LoadUnsafe(ref newest, 2 * Lanes), c);
            d = Vector256.MultiplyAddEstimate(factor, Vector256.LoadUnsafe(ref newest, 3 * Lanes), d);
            newest = ref Unsafe.Subtract(ref newest, 1);
        }

        a.StoreUnsafe(ref output);
        b.StoreUnsafe(ref output, Lanes);
        c.StoreUnsafe(ref output, 2 * Lanes);
        d.StoreUnsafe(ref output, 3 * Lanes);
    }
}
