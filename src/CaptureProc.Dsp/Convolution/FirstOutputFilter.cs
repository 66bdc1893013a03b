using System.Runtime.CompilerServices;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>The filters into a matrix's first output, for a <see cref="FirstOutputProbe"/>.</summary>
/// <remarks>Thread: [main] to make; immutable and [any] afterwards.</remarks>
public sealed class FirstOutputFilter
{
    private readonly AlignedBuffer<float> taps;

    public FirstOutputFilter(MatrixFilter filter)
    {
        ArgumentNullException.ThrowIfNull(filter);
        TapCount = filter.TapCount;
        taps = new AlignedBuffer<float>(filter.Inputs * TapCount);
        for (var input = 0; input < filter.Inputs; input++)
            filter.Taps(0, input).CopyTo(taps.Span[(input * TapCount)..]);
    }

    public int TapCount { get; }

    internal ref float Taps(int input) => ref Unsafe.Add(ref taps.First, input * TapCount);
}
