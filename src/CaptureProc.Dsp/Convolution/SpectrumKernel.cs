using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Dsp.Convolution;

/// <summary>Sums products of spectra: one output of a filter matrix, over all inputs and partitions.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never. Shape: rows as <see cref="SpectrumRow"/> lays them out, without gaps, x and h alike.
/// Bins outside, rows inside: the sum stays in registers, so that each number of a spectrum is read once and nothing is written back.
/// </remarks>
internal static class SpectrumKernel
{
    /// <summary>sum += Σ x[row]·h[row], or sum = Σ … when <paramref name="fresh"/>.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Accumulate(ref float sum, ref float x, ref float h, int rows, int rowLength, bool fresh)
    {
        var part = (nuint)rowLength / 2;
        var lanes = (nuint)Vector256<float>.Count;
        for (nuint bin = 0; bin < part; bin += 2 * lanes)
        {
            Vector256<float> re0 = default, im0 = default, re1 = default, im1 = default;
            if (!fresh)
            {
                re0 = Vector256.LoadUnsafe(ref sum, bin);
                re1 = Vector256.LoadUnsafe(ref sum, bin + lanes);
                im0 = Vector256.LoadUnsafe(ref sum, part + bin);
                im1 = Vector256.LoadUnsafe(ref sum, part + bin + lanes);
            }

            var end = bin + (nuint)rows * (nuint)rowLength;
            for (var at = bin; at < end; at += (nuint)rowLength)
            {
                var (xr, xi) = (Vector256.LoadUnsafe(ref x, at), Vector256.LoadUnsafe(ref x, at + part));
                var (hr, hi) = (Vector256.LoadUnsafe(ref h, at), Vector256.LoadUnsafe(ref h, at + part));
                re0 = Vector256.MultiplyAddEstimate(xr, hr, re0);
                im0 = Vector256.MultiplyAddEstimate(xr, hi, im0);
                re0 = Vector256.MultiplyAddEstimate(-xi, hi, re0);
                im0 = Vector256.MultiplyAddEstimate(xi, hr, im0);

                (xr, xi) = (Vector256.LoadUnsafe(ref x, at + lanes), Vector256.LoadUnsafe(ref x, at + part + lanes));
                (hr, hi) = (Vector256.LoadUnsafe(ref h, at + lanes), Vector256.LoadUnsafe(ref h, at + part + lanes));
                re1 = Vector256.MultiplyAddEstimate(xr, hr, re1);
                im1 = Vector256.MultiplyAddEstimate(xr, hi, im1);
                re1 = Vector256.MultiplyAddEstimate(-xi, hi, re1);
                im1 = Vector256.MultiplyAddEstimate(xi, hr, im1);
            }

            re0.StoreUnsafe(ref sum, bin);
            re1.StoreUnsafe(ref sum, bin + lanes);
            im0.StoreUnsafe(ref sum, part + bin);
            im1.StoreUnsafe(ref sum, part + bin + lanes);
        }
    }
}
