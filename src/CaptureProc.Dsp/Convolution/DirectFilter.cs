using System.Runtime.CompilerServices;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>A matrix of FIR filters laid out for convolution in the time domain.</summary>
/// <remarks>
/// Thread: [main] to make; immutable and [any] afterwards.
/// Shape:  outputs in groups of four, those missing in the last group being zero; for every group, input and tap the four
///         outputs' taps side by side, so that one sample, once loaded, serves four outputs.
/// </remarks>
public sealed class DirectFilter : IPreparedFilter
{
    internal const int OutputsPerGroup = 4;

    private readonly AlignedBuffer<float> taps;

    public DirectFilter(MatrixFilter filter)
    {
        ArgumentNullException.ThrowIfNull(filter);
        (Outputs, Inputs, TapCount, LatencyFrames) = (filter.Outputs, filter.Inputs, filter.TapCount, filter.LatencyFrames);
        GroupCount = (Outputs + OutputsPerGroup - 1) / OutputsPerGroup;
        taps = new AlignedBuffer<float>(GroupCount * Inputs * TapCount * OutputsPerGroup);
        for (var output = 0; output < Outputs; output++)
            for (var input = 0; input < Inputs; input++)
            {
                var from = filter.Taps(output, input);
                var to = taps.Span[(GroupStart(output / OutputsPerGroup, input) + output % OutputsPerGroup)..];
                for (var tap = 0; tap < TapCount; tap++)
                    to[tap * OutputsPerGroup] = from[tap];
            }
    }

    public int Outputs { get; }

    public int Inputs { get; }

    public int TapCount { get; }

    public int LatencyFrames { get; }

    internal int GroupCount { get; }

    internal ref float Group(int group, int input) => ref Unsafe.Add(ref taps.First, GroupStart(group, input));

    private int GroupStart(int group, int input) => (group * Inputs + input) * TapCount * OutputsPerGroup;
}
