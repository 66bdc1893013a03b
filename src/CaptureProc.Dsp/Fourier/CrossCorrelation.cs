using System.Numerics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Fourier;

/// <summary>The cross-correlation of two signals over a range of lags, by way of their spectra.</summary>
/// <remarks>
/// Thread: [audio] once made; one instance a thread. Allocates: in the constructor only.
/// Shape:  signals of up to MaxFrames samples; lags[MaxLagFrames + l] = Σ first[n]·second[n + l] for l in −MaxLagFrames..MaxLagFrames.
///         A peak at a positive l says that the second signal is late by l. Not normalised; beyond their ends signals are zero.
/// Error:  that of two transforms, relative to the product of the signals' norms (CrossCorrelationTests).
/// </remarks>
public sealed class CrossCorrelation<T>
    where T : unmanaged, IFloatingPointIeee754<T>
{
    private readonly RealFft<T> fft;
    private readonly AlignedBuffer<T> signal, firstRe, firstIm, secondRe, secondIm;

    public CrossCorrelation(int maxFrames, int maxLagFrames)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(maxFrames, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(maxLagFrames);
        (MaxFrames, MaxLagFrames) = (maxFrames, maxLagFrames);
        // Circular correlation: enough zeros that no lag in the range meets the other end of the signal.
        fft = new RealFft<T>((int)BitOperations.RoundUpToPowerOf2((uint)Math.Max(2, maxFrames + maxLagFrames)));
        signal = new AlignedBuffer<T>(fft.Size);
        firstRe = new AlignedBuffer<T>(fft.BinCount);
        firstIm = new AlignedBuffer<T>(fft.BinCount);
        secondRe = new AlignedBuffer<T>(fft.BinCount);
        secondIm = new AlignedBuffer<T>(fft.BinCount);
    }

    public int MaxFrames { get; }

    public int MaxLagFrames { get; }

    public int LagCount => 2 * MaxLagFrames + 1;

    public void Correlate(ReadOnlySpan<T> first, ReadOnlySpan<T> second, Span<T> lags)
    {
        if (first.Length > MaxFrames || second.Length > MaxFrames)
            throw new ArgumentException($"The signals have {first.Length} and {second.Length} samples; room was made for {MaxFrames}.");
        if (lags.Length != LagCount)
            throw new ArgumentException($"There is room for {lags.Length} lags; {LagCount} are computed.", nameof(lags));
        Transform(first, firstRe.Span, firstIm.Span);
        Transform(second, secondRe.Span, secondIm.Span);
        MultiplyConjugate(firstRe.Span, firstIm.Span, secondRe.Span, secondIm.Span);
        fft.Inverse(firstRe.Span, firstIm.Span, signal.Span);
        signal.Span[..(MaxLagFrames + 1)].CopyTo(lags[MaxLagFrames..]);
        signal.Span[(fft.Size - MaxLagFrames)..].CopyTo(lags);
    }

    private void Transform(ReadOnlySpan<T> samples, Span<T> re, Span<T> im)
    {
        samples.CopyTo(signal.Span);
        signal.Span[samples.Length..].Clear();
        fft.Forward(signal.Span, re, im);
    }

    /// <summary>a ← conj(a)·b.</summary>
    private static void MultiplyConjugate(Span<T> aRe, Span<T> aIm, ReadOnlySpan<T> bRe, ReadOnlySpan<T> bIm)
    {
        var lanes = Vector<T>.Count;
        var bin = 0;
        for (; bin <= aRe.Length - lanes; bin += lanes)
        {
            var (ar, ai) = (new Vector<T>(aRe[bin..]), new Vector<T>(aIm[bin..]));
            var (br, bi) = (new Vector<T>(bRe[bin..]), new Vector<T>(bIm[bin..]));
            (ar * br + ai * bi).CopyTo(aRe[bin..]);
            (ar * bi - ai * br).CopyTo(aIm[bin..]);
        }

        for (; bin < aRe.Length; bin++)
            (aRe[bin], aIm[bin]) = (aRe[bin] * bRe[bin] + aIm[bin] * bIm[bin], aRe[bin] * bIm[bin] - aIm[bin] * bRe[bin]);
    }
}
