using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Delay;

/// <summary>Interpolation filters for every fraction of a sample: a cubic in the fraction for each tap and each of 64 stretches.</summary>
/// <remarks>
/// Thread: [main] to make; immutable and [any] afterwards. Allocates: in the constructor only.
/// Shape:  TapCount taps for the samples from −HalfLength + 1 to +HalfLength around the whole part of the position; RowLength
///         (whole vectors, the rest zero) from one row to the next. Each filter sums to 1.
/// Error:  the cubic meets the filter at four places a stretch. With h'''' ≤ π⁴ and stretches of 1/64 it is within 3e-9 of it in
///         between, −170 dB: the table is as good as the computed kernel, at a hundredth of the time.
/// </remarks>
internal sealed class PhaseTable
{
    private const int Stretches = 64;
    private const int Coefficients = 4;

    private readonly AlignedBuffer<float> rows;

    /// <param name="cutoff">Middle of the transition, in parts of half the input's rate; 1 for plain interpolation.</param>
    /// <param name="halfLength">Half the filter's length in input samples.</param>
    public PhaseTable(double cutoff, int halfLength)
    {
        HalfLength = halfLength;
        RowLength = (TapCount + Vector256<float>.Count - 1) / Vector256<float>.Count * Vector256<float>.Count;
        rows = new AlignedBuffer<float>(Stretches * Coefficients * RowLength);
        var window = new KaiserWindow(FractionalDelayKernel.Beta);
        var nodes = new double[3 * Stretches + 1][];
        for (var node = 0; node < nodes.Length; node++)
            nodes[node] = Filter(node / (3.0 * Stretches), cutoff, window);
        for (var stretch = 0; stretch < Stretches; stretch++)
            for (var tap = 0; tap < TapCount; tap++)
                FitCubic(stretch, tap, nodes.AsSpan(3 * stretch, 4));
    }

    public int HalfLength { get; }

    public int TapCount => 2 * HalfLength;

    public int RowLength { get; }

    /// <summary>Writes the filter for a fraction in 0..1 (1 excluded), <see cref="RowLength"/> numbers.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Evaluate(double fraction, ref float taps)
    {
        var place = fraction * Stretches;
        var stretch = Math.Min((int)place, Stretches - 1);
        var t = Vector256.Create((float)(place - stretch));
        ref var row = ref Unsafe.Add(ref rows.First, stretch * Coefficients * RowLength);
        var length = (nuint)RowLength;
        for (nuint tap = 0; tap < length; tap += (nuint)Vector256<float>.Count)
        {
            var sum = Vector256.LoadUnsafe(ref row, 3 * length + tap);
            sum = Vector256.MultiplyAddEstimate(sum, t, Vector256.LoadUnsafe(ref row, 2 * length + tap));
            sum = Vector256.MultiplyAddEstimate(sum, t, Vector256.LoadUnsafe(ref row, length + tap));
            sum = Vector256.MultiplyAddEstimate(sum, t, Vector256.LoadUnsafe(ref row, tap));
            sum.StoreUnsafe(ref taps, tap);
        }
    }

    /// <summary>Σ taps·samples over <see cref="RowLength"/> samples.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public float Apply(ref float taps, ref float samples)
    {
        var lanes = (nuint)Vector256<float>.Count;
        Vector256<float> even = default, odd = default;
        nuint tap = 0;
        for (var end = (nuint)RowLength; tap + lanes < end; tap += 2 * lanes)
        {
            even = Vector256.MultiplyAddEstimate(Vector256.LoadUnsafe(ref taps, tap), Vector256.LoadUnsafe(ref samples, tap), even);
            odd = Vector256.MultiplyAddEstimate(Vector256.LoadUnsafe(ref taps, tap + lanes), Vector256.LoadUnsafe(ref samples, tap + lanes), odd);
        }

        if (tap < (nuint)RowLength)
            even = Vector256.MultiplyAddEstimate(Vector256.LoadUnsafe(ref taps, tap), Vector256.LoadUnsafe(ref samples, tap), even);
        return Vector256.Sum(even + odd);
    }

    private double[] Filter(double fraction, double cutoff, KaiserWindow window)
    {
        var taps = new double[TapCount];
        var sum = 0.0;
        for (var tap = 0; tap < TapCount; tap++)
        {
            var distance = tap - (HalfLength - 1) - fraction;
            taps[tap] = Sinc.At(cutoff * distance) * window.Evaluate(distance / HalfLength);
            sum += taps[tap];
        }

        for (var tap = 0; tap < TapCount; tap++)
            taps[tap] /= sum;
        return taps;
    }

    // Newton's form through the values at 0, 1/3, 2/3 and 1 of the stretch, multiplied out.
    private void FitCubic(int stretch, int tap, ReadOnlySpan<double[]> nodes)
    {
        var (a, b, c, d) = (nodes[0][tap], nodes[1][tap], nodes[2][tap], nodes[3][tap]);
        var row = rows.Span[(stretch * Coefficients * RowLength + tap)..];
        row[0] = (float)a;
        row[RowLength] = (float)((-11 * a + 18 * b - 9 * c + 2 * d) / 2);
        row[2 * RowLength] = (float)((18 * a - 45 * b + 36 * c - 9 * d) / 2);
        row[3 * RowLength] = (float)((-9 * a + 27 * b - 27 * c + 9 * d) / 2);
    }
}
