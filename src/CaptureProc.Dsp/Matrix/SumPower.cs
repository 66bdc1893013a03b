using System.Runtime.Intrinsics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Matrix;

/// <summary>How powerful a sum of four signals is with whatever gains on them, from what they have been over the last seconds.</summary>
/// <remarks>
/// Thread: constructor [main], the rest [audio]. Allocates: in the constructor only.
/// Power of Σ gᵢ·xᵢ = Σ gᵢ·gⱼ·mean(xᵢ·xⱼ): ten means that forget with a time constant of <see cref="TimeConstantSeconds"/>. So two
/// settings of the gains are compared on the very same sound, and the comparison has none of the fluctuation that either level has.
/// Error: products of floats in sums of some hundred, 1e-6 of the power. Blocks: the same sums wherever a stream is cut at a
/// multiple of 8 frames.
/// </remarks>
public sealed class SumPower
{
    public const int Signals = 4;

    public const double TimeConstantSeconds = 2;

    private const int Products = Signals * (Signals + 1) / 2;
    private const int HopFrames = 256;

    // -130 dBFS: below it there is no sound to compare.
    private const double Floor = 1e-13;

    private readonly double keep;
    private readonly AlignedBuffer<float> hop = new(Products * Vector256<float>.Count);
    private readonly AlignedBuffer<float> rest = new(Signals * Vector256<float>.Count);
    private readonly double[] means = new double[Products];
    private int framesInHop;

    /// <param name="framesPerSecond">How many frames of a second are given to it: the sample rate, or a part of it.</param>
    public SumPower(double framesPerSecond)
    {
        if (!(framesPerSecond > 0))
            throw new ArgumentOutOfRangeException(nameof(framesPerSecond), framesPerSecond, "The rate has to be positive.");
        keep = Math.Exp(-HopFrames / (framesPerSecond * TimeConstantSeconds));
    }

    /// <summary>Takes the next frames of the four signals.</summary>
    public void Add(ReadOnlyPlanarSpan signals)
    {
        var lanes = Vector256<float>.Count;
        var frame = 0;
        for (; frame <= signals.Frames - lanes; frame += lanes)
            Add(
                Vector256.Create(signals[0].Slice(frame, lanes)), Vector256.Create(signals[1].Slice(frame, lanes)),
                Vector256.Create(signals[2].Slice(frame, lanes)), Vector256.Create(signals[3].Slice(frame, lanes)), lanes);
        if (frame == signals.Frames)
            return;
        rest.Clear();
        for (var signal = 0; signal < Signals; signal++)
            signals[signal][frame..].CopyTo(rest.Span[(signal * lanes)..]);
        Add(
            Vector256.LoadUnsafe(ref rest.First), Vector256.LoadUnsafe(ref rest.First, (nuint)lanes),
            Vector256.LoadUnsafe(ref rest.First, (nuint)(2 * lanes)), Vector256.LoadUnsafe(ref rest.First, (nuint)(3 * lanes)), signals.Frames - frame);
    }

    /// <summary>The power of the sum with these gains; 0 where there is too little sound to tell.</summary>
    public double With(ReadOnlySpan<float> gains)
    {
        var (power, own, product) = (0.0, 0.0, 0);
        for (var i = 0; i < Signals; i++)
            for (var j = i; j < Signals; j++, product++)
            {
                power += (i == j ? 1 : 2) * gains[i] * gains[j] * means[product];
                own += i == j ? means[product] : 0;
            }
        return own > Floor ? power : 0;
    }

    /// <summary>Makes another one stand where this one stands.</summary>
    public void CopyTo(SumPower other) => means.CopyTo(other.means, 0);

    public void Reset()
    {
        hop.Clear();
        Array.Clear(means);
        framesInHop = 0;
    }

    private void Add(Vector256<float> a, Vector256<float> b, Vector256<float> c, Vector256<float> d, int frames)
    {
        AddProduct(0, a, a);
        AddProduct(1, a, b);
        AddProduct(2, a, c);
        AddProduct(3, a, d);
        AddProduct(4, b, b);
        AddProduct(5, b, c);
        AddProduct(6, b, d);
        AddProduct(7, c, c);
        AddProduct(8, c, d);
        AddProduct(9, d, d);
        framesInHop += frames;
        if (framesInHop >= HopFrames)
            EndHop();
    }

    private void AddProduct(int product, Vector256<float> x, Vector256<float> y)
    {
        var at = (nuint)(product * Vector256<float>.Count);
        Vector256.MultiplyAddEstimate(x, y, Vector256.LoadUnsafe(ref hop.First, at)).StoreUnsafe(ref hop.First, at);
    }

    private void EndHop()
    {
        for (var product = 0; product < Products; product++)
        {
            var now = Vector256.Sum(Vector256.LoadUnsafe(ref hop.First, (nuint)(product * Vector256<float>.Count))) / (double)framesInHop;
            means[product] = now + keep * (means[product] - now);
        }
        hop.Clear();
        framesInHop = 0;
    }
}
