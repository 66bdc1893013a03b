using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Listening;

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
    public const double UsualAngleDeg = 90;
    public const double UsualPattern = 0.5;

    /// <summary>A coincident pair, aimed to either side of straight ahead; channels beyond the first order are not heard by such microphones.</summary>
    /// <param name="order">Order of the field.</param>
    /// <param name="angleDeg">Between the two axes.</param>
    /// <param name="pattern">0 figure-eight, 0.5 cardioid, 1 omni.</param>
    public static StatedRendering Pair(int order, double angleDeg = UsualAngleDeg, double pattern = UsualPattern) => new(
        FormattableString.Invariant($"pair of coincident microphones, {angleDeg:0.#}° apart, pattern {pattern:0.##}"),
        new CoincidentPair(angleDeg, pattern, new Direction(0, 0)).ToFilter(SphericalHarmonics.ChannelCount(order)));

    /// <summary>Headphones, through a set of measured responses.</summary>
    public static StatedRendering Binaural(int order, double sampleRateHz, BinauralDecoder head) =>
        new($"binaural, head {head.Name}", head.Filter(order, sampleRateHz));
}
