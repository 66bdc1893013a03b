using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Listening;

/// <summary>Two directional microphones at one point, made of a first-order sound field.</summary>
/// <param name="AngleDeg">Between the two axes; 0 makes both the same.</param>
/// <param name="Pattern">First-order pattern α of s(γ) = α + (1−α)·cos γ: 0 figure-eight, 0.5 cardioid, 1 omni.</param>
/// <param name="Aim">Where the middle between the axes looks.</param>
/// <remarks>Level: that of a real microphone, 1 on its axis.</remarks>
public readonly record struct CoincidentPair(double AngleDeg, double Pattern, Direction Aim)
{
    /// <summary>Where the left and the right microphone look.</summary>
    public (Vector3D Left, Vector3D Right) Axes()
    {
        var aim = Rotation3D.FromYawPitchRollDeg(Aim.AzimuthDeg, Aim.ElevationDeg, 0);
        return (aim.Apply(new Direction(AngleDeg / 2, 0).ToUnitVector()), aim.Apply(new Direction(-AngleDeg / 2, 0).ToUnitVector()));
    }

    /// <summary>Writes the gains from W, Y, Z and X (ACN, SN3D) to the left microphone, then to the right one. Allocates: never.</summary>
    public void FillGains(Span<float> gains)
    {
        var (left, right) = Axes();
        Fill(gains[..4], left);
        Fill(gains.Slice(4, 4), right);
    }

    /// <summary>The gains as a filter of one tap, out of a field of any order, of which only the first is used.</summary>
    /// <param name="channels">Channels of the field, 4 or more, ACN, SN3D.</param>
    public MatrixFilter ToFilter(int channels)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channels, 4);
        Span<float> gains = stackalloc float[8];
        FillGains(gains);
        var filter = new MatrixFilter(2, channels, 1, 0);
        for (var output = 0; output < 2; output++)
            for (var channel = 0; channel < 4; channel++)
                filter.Taps(output, channel)[0] = gains[4 * output + channel];
        return filter;
    }

    private void Fill(Span<float> gains, Vector3D axis)
    {
        var gradient = 1 - Pattern;
        (gains[0], gains[1], gains[2], gains[3]) = ((float)Pattern, (float)(gradient * axis.Y), (float)(gradient * axis.Z), (float)(gradient * axis.X));
    }
}
