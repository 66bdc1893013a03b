using System.Runtime.Intrinsics;

namespace CaptureProc.Dsp.Loudness;

/// <summary>K-weights up to four channels at once and sums the weighted squares of what comes out.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never.
/// A recursive filter cannot run ahead of itself in time, so the lanes of the vector are channels. Both sections stand in one
/// loop: the chain of the one hides the latency of the other. Double precision, because the high-pass has its poles 0.005
/// from the unit circle, where single precision adds audible noise of its own.
/// The high-pass has a double zero at 0 Hz: its numerator is one gain times 1, −2, 1, which saves two multiplications.
/// State is flushed to zero below 1e-30 (−600 dBFS) at the end of every call, long before it could become denormal and slow,
/// and after a sample that is no number, so that a damaged block cannot silence the meter for the rest of the programme.
/// </remarks>
internal struct KWeightedEnergy(BiquadCoefficients shelf, BiquadCoefficients highPass, Vector256<double> channelWeights)
{
    private Vector256<double> shelf1, shelf2, high1, high2;

    public const int Lanes = 4;

    public void Reset() => shelf1 = shelf2 = high1 = high2 = Vector256<double>.Zero;

    /// <summary>The four spans have one length; an unused lane repeats another channel and has weight 0.</summary>
    public double Process(ReadOnlySpan<float> a, ReadOnlySpan<float> b, ReadOnlySpan<float> c, ReadOnlySpan<float> d)
    {
        var (b0, b1, b2) = (Vector256.Create(shelf.B0), Vector256.Create(shelf.B1), Vector256.Create(shelf.B2));
        var (a1, a2) = (Vector256.Create(shelf.A1), Vector256.Create(shelf.A2));
        var (c1, c2) = (Vector256.Create(highPass.A1), Vector256.Create(highPass.A2));
        var c0 = Vector256.Create(highPass.B0);
        var (s1, s2, h1, h2) = (shelf1, shelf2, high1, high2);
        var energy = Vector256<double>.Zero;
        b = b[..a.Length];
        c = c[..a.Length];
        d = d[..a.Length];
        for (var i = 0; i < a.Length; i++)
        {
            var x = Vector256.WidenLower(Vector256.Create(Vector128.Create(a[i], b[i], c[i], d[i]), Vector128<float>.Zero));
            var y = b0 * x + s1;
            s1 = b1 * x - a1 * y + s2;
            s2 = b2 * x - a2 * y;
            y *= c0;
            var z = y + h1;
            h1 = h2 - y - y - c1 * z;
            h2 = y - c2 * z;
            energy += z * z;
        }
        shelf1 = Settled(s1);
        shelf2 = Settled(s2);
        high1 = Settled(h1);
        high2 = Settled(h2);

        // Lane by lane, so that one damaged channel does not take the others with it.
        energy = Vector256.ConditionalSelect(Finite(energy), energy, Vector256<double>.Zero);
        return Vector256.Dot(energy, channelWeights);
    }

    private static Vector256<double> Settled(Vector256<double> state)
    {
        var size = Vector256.Abs(state);
        var keep = Vector256.GreaterThan(size, Vector256.Create(1e-30)) & Finite(state);
        return Vector256.ConditionalSelect(keep, state, Vector256<double>.Zero);
    }

    private static Vector256<double> Finite(Vector256<double> value) =>
        Vector256.LessThan(Vector256.Abs(value), Vector256.Create(double.PositiveInfinity));
}
