using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Wav.Samples;

/// <summary>Looks for samples that are no numbers.</summary>
internal static class FiniteSamples
{
    // NaN and the infinities are the floats whose exponent is all ones.
    private const int Exponent = 0x7F800000;

    /// <summary>The first NaN or infinity; −1 where there is none.</summary>
    public static int FirstUnusable(ReadOnlySpan<float> samples)
    {
        var words = MemoryMarshal.Cast<float, int>(samples);
        var (i, exponent) = (0, new Vector<int>(Exponent));
        for (; i <= words.Length - Vector<int>.Count; i += Vector<int>.Count)
            if (Vector.EqualsAny(new Vector<int>(words[i..]) & exponent, exponent))
                break;
        for (; i < words.Length; i++)
            if ((words[i] & Exponent) == Exponent)
                return i;
        return -1;
    }
}
