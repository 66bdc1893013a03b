using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Listening;

/// <summary>Two directional microphones at one point, made of a first-order sound field.</summary>
/// <param name="AngleDeg">Between the two axes; 0 makes both the same.</param>
/// <param name="Pattern">First-order pattern α of s(γ) = α + (1−α)·cos γ: 0 figure-eight, 0.5 cardioid, 1 omni.</param>
/// <param name="Aim">Where the middle between the axes looks.</param>
/// <remarks>Level: that of a real microphone, 1 on its axis.</remarks>
public sealed record CoincidentPair(double AngleDeg, double Pattern, Direction Aim)
{
    /// <summary>Where the left and the right microphone look.</summary>
    public (Vector3D Left, Vector3D Right) Axes()
    {
        var aim = Rotation3D.FromYawPitchRollDeg(Aim.AzimuthDeg, Aim.ElevationDeg, 0);
        return (aim.Apply(new Direction(AngleDeg / 2, 0).ToUnitVector()), aim.Apply(new Direction(-AngleDeg / 2, 0).ToUnitVector()));
    }

    /// <summary>The gains as a filter: left and right out of a field of any order, of which only the first is used.</summary>
    /// <param name="channels">Channels of the field, 4 or more, ACN, SN3D.</param>
    /// <param name="latencyFrames">A plain delay, so that the pair can stand in for another way of listening; 0 for none.</param>
    public MatrixFilter ToFilter(int channels, int latencyFrames)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channels, 4);
        var (left, right) = Axes();
        var filter = new MatrixFilter(2, channels, latencyFrames + 1, latencyFrames);
        Fill(filter, 0, left);
        Fill(filter, 1, right);
        return filter;
    }

    private void Fill(MatrixFilter filter, int output, Vector3D axis)
    {
        var gradient = 1 - Pattern;
        filter.Taps(output, 0)[^1] = (float)Pattern;
        filter.Taps(output, 1)[^1] = (float)(gradient * axis.Y);
        filter.Taps(output, 2)[^1] = (float)(gradient * axis.Z);
        filter.Taps(output, 3)[^1] = (float)(gradient * axis.X);
    }
}
