namespace CaptureProc.Dsp.Convolution;

/// <summary>A matrix of FIR filters: every output is the sum of all inputs, each through a filter of its own.</summary>
/// <remarks>
/// Thread: [any] once filled. Shape: TapCount samples for each (output, input), one flat array, output-major.
/// LatencyFrames is the constant delay that all outputs share; whoever runs the filter offline takes it out again.
/// </remarks>
public sealed class MatrixFilter
{
    private readonly float[] taps;

    public MatrixFilter(int outputs, int inputs, int tapCount, int latencyFrames)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(outputs, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(inputs, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(tapCount, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(latencyFrames, 0);
        (Outputs, Inputs, TapCount, LatencyFrames) = (outputs, inputs, tapCount, latencyFrames);
        taps = new float[outputs * inputs * tapCount];
    }

    public int Outputs { get; }

    public int Inputs { get; }

    public int TapCount { get; }

    public int LatencyFrames { get; }

    /// <summary>The impulse response from one input to one output; written by the designer, read by everyone else.</summary>
    public Span<float> Taps(int output, int input) => taps.AsSpan((output * Inputs + input) * TapCount, TapCount);
}
