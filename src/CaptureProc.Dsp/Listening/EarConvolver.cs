using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Listening;

/// <summary>Convolves a field for two ears in real time, in the way that the <see cref="EarFilter"/> is made for.</summary>
/// <remarks>Thread: constructor and Publish [main], the rest [audio]. Allocates: in the constructor and in Publish only.</remarks>
internal sealed class EarConvolver
{
    private readonly DirectMatrixConvolver? direct;
    private readonly StreamingMatrixConvolver? blockwise;

    public EarConvolver(EarFilter filter, int maxBlockFrames)
    {
        if (filter.Direct is { } taps)
            direct = new DirectMatrixConvolver(taps, maxBlockFrames);
        else
            blockwise = new StreamingMatrixConvolver(filter.Blockwise!);
    }

    public int LatencyFrames => direct?.LatencyFrames ?? blockwise!.LatencyFrames;

    public void Publish(EarFilter filter)
    {
        direct?.Publish(filter.Direct ?? throw WrongKind(filter));
        blockwise?.Publish(filter.Blockwise ?? throw WrongKind(filter));
    }

    public void Process(ReadOnlyPlanarSpan field, PlanarSpan ears)
    {
        if (direct != null)
            direct.Process(field, ears);
        else
            blockwise!.Process(field, ears);
    }

    public void Reset()
    {
        direct?.Reset();
        blockwise?.Reset();
    }

    /// <summary>Takes the newest filter at once.</summary>
    public void Settle()
    {
        direct?.Settle();
        blockwise?.Settle();
    }

    private static ArgumentException WrongKind(EarFilter filter) =>
        new($"The filter of {filter.Inputs} channels and {filter.TapCount} taps was made for another rate.", nameof(filter));
}
