using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Fourier;

/// <summary>Between the spectrum X of a real signal of N samples and that, Z, of its samples taken in complex pairs.</summary>
/// <remarks>
/// Thread: [any]; source and destination differ. Allocates: in the constructor only.
/// With M = N/2, w = exp(−j2π/N), E and O the spectra of the even and odd samples:
///   Z[k] = E[k] + jO[k],  X[k] = E[k] + w^k·O[k],  X[M−k] = conj(E[k] − w^k·O[k]).
/// </remarks>
internal sealed class HalfSizePacking<T>
    where T : unmanaged, IFloatingPointIeee754<T>
{
    private readonly int half;
    private readonly AlignedBuffer<T> turnRe, turnIm;

    public HalfSizePacking(int size)
    {
        half = size / 2;
        turnRe = new AlignedBuffer<T>(half / 2 + 1);
        turnIm = new AlignedBuffer<T>(half / 2 + 1);
        for (var k = 0; k <= half / 2; k++)
            (turnRe.Span[k], turnIm.Span[k]) = Twiddles.Factor<T>(k, size);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Untangle(ref T zr, ref T zi, ref T xr, ref T xi)
    {
        var m = half;
        var (first, firstIm) = (zr, zi);
        xr = first + firstIm;
        xi = T.Zero;
        Unsafe.Add(ref xr, m) = first - firstIm;
        Unsafe.Add(ref xi, m) = T.Zero;
        if (m < 2)
            return;
        Unsafe.Add(ref xr, m / 2) = Unsafe.Add(ref zr, m / 2);
        Unsafe.Add(ref xi, m / 2) = -Unsafe.Add(ref zi, m / 2);

        var middle = m / 2;
        var lanes = Vector256<T>.Count;
        if (middle > lanes)
        {
            var oneHalf = Vector256.Create(T.One / (T.One + T.One));
            for (var k = 1; k < middle; k += lanes)
            {
                // The last group starts earlier so that it ends with bin M/2 − 1; bins done twice come out the same.
                k = Math.Min(k, middle - lanes);
                var mirrored = (nuint)(m - k - lanes + 1);
                var a = ComplexLanes<T>.Load(ref zr, ref zi, (nuint)k);
                var b = ComplexLanes<T>.Load(ref zr, ref zi, mirrored);
                var (br, bi) = (Lanes.Reverse(b.Re), Lanes.Reverse(b.Im));
                var even = new ComplexLanes<T>((a.Re + br) * oneHalf, (a.Im - bi) * oneHalf);
                var odd = new ComplexLanes<T>((a.Im + bi) * oneHalf, (br - a.Re) * oneHalf);
                odd *= ComplexLanes<T>.Load(ref turnRe.First, ref turnIm.First, (nuint)k);
                (even + odd).Store(ref xr, ref xi, (nuint)k);
                var rest = even - odd;
                new ComplexLanes<T>(Lanes.Reverse(rest.Re), Lanes.Reverse(-rest.Im)).Store(ref xr, ref xi, mirrored);
            }
        }
        else
        {
            var two = T.One + T.One;
            for (var k = 1; k < middle; k++)
            {
                var (ar, ai) = (Unsafe.Add(ref zr, k), Unsafe.Add(ref zi, k));
                var (br, bi) = (Unsafe.Add(ref zr, m - k), Unsafe.Add(ref zi, m - k));
                var (er, ei) = ((ar + br) / two, (ai - bi) / two);
                var (or, oi) = Times(((ai + bi) / two, (br - ar) / two), (turnRe.Span[k], turnIm.Span[k]));
                (Unsafe.Add(ref xr, k), Unsafe.Add(ref xi, k)) = (er + or, ei + oi);
                (Unsafe.Add(ref xr, m - k), Unsafe.Add(ref xi, m - k)) = (er - or, oi - ei);
            }
        }
    }

    /// <summary>The way back, divided by N, which is what makes the inverse transform of Z whole.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Tangle(ref T xr, ref T xi, ref T zr, ref T zi)
    {
        var m = half;
        var scale = T.One / T.CreateTruncating(2 * m);
        zr = (xr + Unsafe.Add(ref xr, m)) * scale;
        zi = (xr - Unsafe.Add(ref xr, m)) * scale;
        if (m < 2)
            return;
        var middle = m / 2;
        Unsafe.Add(ref zr, middle) = Unsafe.Add(ref xr, middle) * (scale + scale);
        Unsafe.Add(ref zi, middle) = -Unsafe.Add(ref xi, middle) * (scale + scale);

        var lanes = Vector256<T>.Count;
        if (middle > lanes)
        {
            var scales = Vector256.Create(scale);
            for (var k = 1; k < middle; k += lanes)
            {
                k = Math.Min(k, middle - lanes);
                var mirrored = (nuint)(m - k - lanes + 1);
                var a = ComplexLanes<T>.Load(ref xr, ref xi, (nuint)k);
                var b = ComplexLanes<T>.Load(ref xr, ref xi, mirrored);
                var (br, bi) = (Lanes.Reverse(b.Re), Lanes.Reverse(b.Im));
                var even = new ComplexLanes<T>((a.Re + br) * scales, (a.Im - bi) * scales);
                var odd = new ComplexLanes<T>((a.Re - br) * scales, (a.Im + bi) * scales);
                var turn = ComplexLanes<T>.Load(ref turnRe.First, ref turnIm.First, (nuint)k);
                odd *= new ComplexLanes<T>(turn.Re, -turn.Im);
                new ComplexLanes<T>(even.Re - odd.Im, even.Im + odd.Re).Store(ref zr, ref zi, (nuint)k);
                new ComplexLanes<T>(Lanes.Reverse(even.Re + odd.Im), Lanes.Reverse(odd.Re - even.Im)).Store(ref zr, ref zi, mirrored);
            }
        }
        else
        {
            for (var k = 1; k < middle; k++)
            {
                var (ar, ai) = (Unsafe.Add(ref xr, k), Unsafe.Add(ref xi, k));
                var (br, bi) = (Unsafe.Add(ref xr, m - k), Unsafe.Add(ref xi, m - k));
                var (er, ei) = ((ar + br) * scale, (ai - bi) * scale);
                var (or, oi) = Times(((ar - br) * scale, (ai + bi) * scale), (turnRe.Span[k], -turnIm.Span[k]));
                (Unsafe.Add(ref zr, k), Unsafe.Add(ref zi, k)) = (er - oi, ei + or);
                (Unsafe.Add(ref zr, m - k), Unsafe.Add(ref zi, m - k)) = (er + oi, or - ei);
            }
        }
    }

    private static (T Re, T Im) Times((T Re, T Im) a, (T Re, T Im) b) => (a.Re * b.Re - a.Im * b.Im, a.Re * b.Im + a.Im * b.Re);
}
