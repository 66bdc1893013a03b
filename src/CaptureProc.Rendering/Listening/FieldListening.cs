using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Rendering.Listening;

/// <summary>From the channels of a field as they lie in a file, and a listener who has turned, to whatever is listened through.</summary>
/// <param name="Order">Of the field in the file, 1 to 3.</param>
/// <param name="Format">Order and scale of its channels.</param>
/// <param name="ListenerTurn">How the listener has turned; the field turns the other way.</param>
public sealed record FieldListening(int Order, FieldFormat Format, Rotation3D ListenerTurn)
{
    public int ChannelCount => SphericalHarmonics.ChannelCount(Order);

    /// <summary>The order of a field with so many channels; null where no field of first to third order has as many.</summary>
    public static int? OrderOf(int channels) => channels switch { 4 => 1, 9 => 2, 16 => 3, _ => null };

    /// <summary>One matrix of filters from the channels of the file to the ears.</summary>
    /// <param name="decoder">What is listened through: (order+1)² inputs, ACN, SN3D.</param>
    /// <remarks>Thread: [main]. The turn and the format are gains, and go into the taps.</remarks>
    public MatrixFilter Through(MatrixFilter decoder)
    {
        ArgumentNullException.ThrowIfNull(decoder);
        var channels = ChannelCount;
        var turn = new double[channels * channels];
        FieldRotation.Fill(ListenerTurn.Inverse(), Order, turn);
        var filter = new MatrixFilter(decoder.Outputs, channels, decoder.TapCount, decoder.LatencyFrames);
        for (var input = 0; input < channels; input++)
        {
            var acn = Format == FieldFormat.FuMa ? FuMaTable.AcnAtPosition(input) : input;
            var scale = Format == FieldFormat.FuMa ? 1 / FuMaTable.GainFromSN3D(acn) : 1;
            for (var turned = 0; turned < channels; turned++)
            {
                var gain = (float)(scale * turn[turned * channels + acn]);
                if (gain == 0)
                    continue;
                for (var output = 0; output < decoder.Outputs; output++)
                {
                    var from = decoder.Taps(output, turned);
                    var to = filter.Taps(output, input);
                    for (var n = 0; n < to.Length; n++)
                        to[n] += gain * from[n];
                }
            }
        }
        return filter;
    }
}
