using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Rendering.Delivery;

/// <summary>The two-channel signal whose loudness stands for that of a sound field, and its name.</summary>
/// <param name="Name">Said wherever a figure is said.</param>
/// <param name="Filter">From the field (ACN, SN3D) to left and right.</param>
/// <remarks>
/// ITU-R BS.1770-5 has no method for scene-based signals: its Annex 4, for objects, says to render to a stated layout and to
/// report which. A field's channels are no loudspeaker feeds; summed as if they were, first-order SN3D reads 3 LU above W.
/// </remarks>
public sealed record StatedRendering(string Name, MatrixFilter Filter)
{
    public const double UsualAngleDeg = 110;
    public const double UsualPattern = 0.5;

    /// <summary>A coincident pair: first-order microphones of one pattern, aimed to either side of straight ahead.</summary>
    /// <param name="order">Order of the field; the channels beyond the first order are not heard by such microphones.</param>
    /// <param name="angleDeg">Between the two axes.</param>
    /// <param name="pattern">0 figure-eight, 0.5 cardioid, 1 omni.</param>
    public static StatedRendering Pair(int order, double angleDeg = UsualAngleDeg, double pattern = UsualPattern)
    {
        var channels = SphericalHarmonics.ChannelCount(order);
        var filter = new MatrixFilter(2, channels, 1, 0);
        Span<double> harmonics = stackalloc double[4];
        for (var side = 0; side < 2; side++)
        {
            SphericalHarmonics.Evaluate(new Direction(side == 0 ? angleDeg / 2 : -angleDeg / 2, 0), harmonics);
            for (var acn = 0; acn < 4; acn++)
                filter.Taps(side, acn)[0] = (float)(acn == 0 ? pattern : (1 - pattern) * harmonics[acn]);
        }
        return new StatedRendering(FormattableString.Invariant($"pair of coincident microphones, {angleDeg:0.#}° apart, pattern {pattern:0.##}"), filter);
    }
}
