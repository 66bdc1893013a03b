using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Alignment;

/// <summary>Where a spot stands in a field: the gain from each of its channels to each channel of the file.</summary>
internal static class Placement
{
    /// <summary>Output-major gains, (order + 1)² × the spot's channels.</summary>
    /// <remarks>
    /// A spot of one or more channels stands as a plane wave at its direction; several are averaged, so that what all of them hear
    /// keeps its level. A spot that is a field itself stays one: its four channels become the first four.
    /// </remarks>
    public static float[] Gains(AlignedSpot spot, FieldConversion field, int order)
    {
        var outputs = SphericalHarmonics.ChannelCount(order);
        if (spot.Array is not null)
            return FieldGains(outputs);
        var inputs = spot.Spot.Channels.Count;
        Span<double> harmonics = stackalloc double[outputs];
        SphericalHarmonics.Evaluate(field.Turn.Apply(spot.Spot.Direction!.ToDirection()), harmonics);
        var gains = new float[outputs * inputs];
        for (var output = 0; output < outputs; output++)
        {
            var acn = field.Format == FieldFormat.FuMa ? FuMaTable.AcnAtPosition(output) : output;
            var scale = field.Format == FieldFormat.FuMa ? FuMaTable.GainFromSN3D(acn) : 1;
            gains.AsSpan(output * inputs, inputs).Fill((float)(scale * harmonics[acn] / inputs));
        }
        return gains;
    }

    /// <summary>A first-order field within a higher order: W, X, Y and Z are the first four channels of AmbiX and of FuMa alike.</summary>
    public static float[] FieldGains(int outputs)
    {
        var gains = new float[outputs * 4];
        for (var channel = 0; channel < 4; channel++)
            gains[channel * 4 + channel] = 1;
        return gains;
    }
}
