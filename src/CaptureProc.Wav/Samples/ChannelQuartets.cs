using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Wav.Samples;

/// <summary>Four neighbouring channels of frames that may have more: four frames at a time, as <see cref="FourChannels"/> does for whole frames.</summary>
/// <remarks>Thread: [any]. Allocates: never. A channel by itself touches every line of the cache for one sample; four share what it brings.</remarks>
internal static class ChannelQuartets
{
    public const int Channels = 4;

    /// <param name="interleaved">From the first of the four channels on.</param>
    /// <param name="channelCount">Of a frame.</param>
    /// <param name="a">The first of the four; all have one length.</param>
    /// <param name="b">The second.</param>
    /// <param name="c">The third.</param>
    /// <param name="d">The fourth.</param>
    public static void Put(ReadOnlySpan<float> a, ReadOnlySpan<float> b, ReadOnlySpan<float> c, ReadOnlySpan<float> d, Span<float> interleaved, int channelCount)
    {
        var fromA = Groups(a);
        var fromB = Groups(b);
        var fromC = Groups(c);
        var fromD = Groups(d);
        var at = 0;
        for (var i = 0; i < fromA.Length; i++)
        {
            var (w, x, y, z) = FourChannels.Transpose(fromA[i], fromB[i], fromC[i], fromD[i]);
            w.CopyTo(interleaved[at..]);
            x.CopyTo(interleaved[(at + channelCount)..]);
            y.CopyTo(interleaved[(at + 2 * channelCount)..]);
            z.CopyTo(interleaved[(at + 3 * channelCount)..]);
            at += 4 * channelCount;
        }
        for (var n = 4 * fromA.Length; n < a.Length; n++, at += channelCount)
            (interleaved[at], interleaved[at + 1], interleaved[at + 2], interleaved[at + 3]) = (a[n], b[n], c[n], d[n]);
    }

    /// <inheritdoc cref="Put"/>
    public static void Take(ReadOnlySpan<float> interleaved, int channelCount, Span<float> a, Span<float> b, Span<float> c, Span<float> d)
    {
        var toA = Groups(a);
        var toB = Groups(b);
        var toC = Groups(c);
        var toD = Groups(d);
        var at = 0;
        for (var i = 0; i < toA.Length; i++)
        {
            (toA[i], toB[i], toC[i], toD[i]) = FourChannels.Transpose(
                Vector128.Create(interleaved[at..]), Vector128.Create(interleaved[(at + channelCount)..]),
                Vector128.Create(interleaved[(at + 2 * channelCount)..]), Vector128.Create(interleaved[(at + 3 * channelCount)..]));
            at += 4 * channelCount;
        }
        for (var n = 4 * toA.Length; n < a.Length; n++, at += channelCount)
            (a[n], b[n], c[n], d[n]) = (interleaved[at], interleaved[at + 1], interleaved[at + 2], interleaved[at + 3]);
    }

    private static Span<Vector128<float>> Groups(Span<float> samples) => MemoryMarshal.Cast<float, Vector128<float>>(samples);

    private static ReadOnlySpan<Vector128<float>> Groups(ReadOnlySpan<float> samples) => MemoryMarshal.Cast<float, Vector128<float>>(samples);
}
