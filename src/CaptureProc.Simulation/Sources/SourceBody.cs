using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Sources;

/// <summary>A person, a case or an instrument that stands in the way of the direct sound: a sphere that the wave creeps around.</summary>
/// <remarks>
/// Thread: [any]. Where the straight line from source to microphone passes through, the direct sound is replaced by the wave along the
/// shortest way round (tangent, arc, tangent) and a second one round the other side; each is weaker, most so in the treble.
/// 6 dB and 1 dB a 10° of arc in the middle, twice that in the treble: common practice, no source; it is no solution of the wave equation.
/// The first of the two counts as the direct sound, the second as a reflection.
/// </remarks>
public sealed record SourceBody(Vector3D CentreM, double RadiusM)
{
    /// <summary>The two waves where the body stands in the way; null where it does not, or where one of the two stands inside it.</summary>
    public (ImageSource First, ImageSource Second)? Around(ImageSource direct, Vector3D placeM)
    {
        var (toSource, toPlace) = (direct.PositionM - CentreM, placeM - CentreM);
        var (a, b) = (toSource.Length, toPlace.Length);
        if (a <= RadiusM || b <= RadiusM)
            return null;
        // The angle between the two seen from the centre, and what of it the two tangents leave to the arc.
        var between = Math.Acos(Math.Clamp(Vector3D.Dot(toSource, toPlace) / (a * b), -1, 1));
        var tangents = Math.Acos(RadiusM / a) + Math.Acos(RadiusM / b);
        var arc = between - tangents;
        if (arc <= 0)
            return null;
        var straight = Math.Sqrt(a * a - RadiusM * RadiusM) + Math.Sqrt(b * b - RadiusM * RadiusM);
        // Across the line from the centre to the place, on the side of the source.
        var across = (toSource - Vector3D.Dot(toSource, toPlace) / (b * b) * toPlace).Normalised();
        if (across.Length == 0)
            return null;
        return (Wave(arc, 1), Wave(2 * Math.PI - between - tangents, -1));

        ImageSource Wave(double arcRad, double side)
        {
            var way = straight + RadiusM * arcRad;
            // It comes from the tangent: asin(R/b) off the centre.
            var off = RadiusM / b;
            var from = (Math.Sqrt(1 - off * off) * -1 / b * toPlace + side * off * across).Normalised();
            var lossDb = 6 + 0.1 * arcRad * 180 / Math.PI;
            var (middle, treble) = (Math.Pow(10, -lossDb / 20), Math.Pow(10, -2 * lossDb / 20));
            return new ImageSource(placeM + way * from, middle * direct.Gain, treble * direct.HighGain) { BassGain = direct.BassGain };
        }
    }
}
