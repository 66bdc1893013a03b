using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Listening;

/// <summary>Convolves a field for two ears in real time, in the way that the <see cref="EarFilter"/> is made for.</summary>
/// <remarks>Thread: constructor and Publish [main], the rest [audio]. Allocates: in the constructor and in Publish only.</remarks>
internal sealed class EarConvolver
{
    private readonly SplitMatrixConvolver? prompt;
    private readonly StreamingMatrixConvolver? blockwise;

    public EarConvolver(EarFilter filter, int maxBlockFrames)
    {
        if (filter.Prompt is { } taps)
            prompt = new SplitMatrixConvolver(taps, maxBlockFrames);
        else
            blockwise = new StreamingMatrixConvolver(filter.Blockwise!);
    }

    public int LatencyFrames => prompt?.LatencyFrames ?? blockwise!.LatencyFrames;

    public void Publish(EarFilter filter)
    {
        prompt?.Publish(filter.Prompt ?? throw WrongKind(filter));
        blockwise?.Publish(filter.Blockwise ?? throw WrongKind(filter));
    }

    public void Process(ReadOnlyPlanarSpan field, PlanarSpan ears)
    {
        if (prompt != null)
            prompt.Process(field, ears);
        else
            blockwise!.Process(field, ears);
    }

    public void Reset()
    {
        prompt?.Reset();
        blockwise?.Reset();
    }

    /// <summary>Takes the newest filter at once.</summary>
    public void Settle()
    {
        prompt?.Settle();
        blockwise?.Settle();
    }

    private static ArgumentException WrongKind(EarFilter filter) =>
        new($"The filter of {filter.Inputs} channels and {filter.TapCount} taps was made for another rate.", nameof(filter));
}
