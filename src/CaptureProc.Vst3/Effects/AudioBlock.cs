namespace CaptureProc.Vst3.Effects;

/// <summary>One block of audio as an effect sees it: planar, apart from each other, finite.</summary>
/// <remarks>
/// Thread: [audio]. Inputs and outputs never share memory, whatever the host passed; a missing input is silent; a sample that
/// was not a finite number is 0. Outputs hold old data: write every one.
/// Parameters are read at frames of this block.
/// </remarks>
public readonly ref struct AudioBlock
{
    private readonly Span<float> inputs;
    private readonly Span<float> outputs;
    private readonly int stride;

    internal AudioBlock(Span<float> inputs, Span<float> outputs, int stride, int frames, ParameterLines parameters, MeterBank meters)
    {
        this.inputs = inputs;
        this.outputs = outputs;
        this.stride = stride;
        (FrameCount, Parameters, Meters) = (frames, parameters, meters);
    }

    public int FrameCount { get; }

    public ParameterLines Parameters { get; }

    public MeterBank Meters { get; }

    /// <summary>All inputs in one run: channel c begins at c·<see cref="Stride"/>.</summary>
    public ReadOnlySpan<float> InputSamples => inputs;

    /// <summary>All outputs in one run, laid out like the inputs.</summary>
    public Span<float> OutputSamples => outputs;

    /// <summary>Samples from the start of one channel to the start of the next.</summary>
    public int Stride => stride;

    public ReadOnlySpan<float> Input(int channel) => inputs.Slice(channel * stride, FrameCount);

    public Span<float> Output(int channel) => outputs.Slice(channel * stride, FrameCount);
}
