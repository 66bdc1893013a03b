using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.Parameters;

/// <summary>Gains: decibels and factors, and a constant one over a run of samples.</summary>
/// <remarks>Thread: [any]. Allocates: never.</remarks>
public static class Gain
{
    public static float FromDb(double gainDb) => (float)Math.Pow(10, gainDb / 20);

    public static double ToDb(double factor) => 20 * Math.Log10(factor);

    /// <summary>output = gain·input. Spans may coincide; the output is at least as long.</summary>
    public static void Apply(float gain, ReadOnlySpan<float> input, Span<float> output)
    {
        if (gain == 1)
        {
            input.CopyTo(output);
            return;
        }

        var from = MemoryMarshal.Cast<float, Vector<float>>(input);
        var to = MemoryMarshal.Cast<float, Vector<float>>(output[..input.Length]);
        for (var i = 0; i < from.Length; i++)
            to[i] = from[i] * gain;
        for (var i = from.Length * Vector<float>.Count; i < input.Length; i++)
            output[i] = input[i] * gain;
    }
}
