using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Listening;

/// <summary>Listens to a sound field in real time: turns it against the listener's head, then makes two channels of it.</summary>
/// <remarks>
/// Thread: constructor and Publish [main], the rest [audio]. Allocates: in the constructor and in Publish only. In place: yes.
/// Shape:  (order+1)² channels in, ACN, SN3D; left and right out.
/// Latency: LatencyFrames, the same for a rate and an order whatever is listened through: 1 ms for the decoder, and where a
/// convolution in the time domain would cost too much (many channels at a high rate), 2/3 ms more for one by blocks.
/// Changes: another head, pair or angle is a filter given to Publish; it is faded in over some 20 ms.
/// </remarks>
public sealed class FieldListener : IPlanarProcessor
{
    // Taps of all channels a second: a few hundredths of a core. Third order at 48 kHz lies below, at 96 kHz above.
    private const double MaxDirectTapsPerSecond = 2e8;

    private const double BlockSeconds = 1.0 / 1500;

    private readonly FieldTurner turner;
    private readonly AlignedBuffer<float> turned;
    private readonly DirectMatrixConvolver? direct;
    private readonly StreamingMatrixConvolver? blockwise;

    /// <param name="filter">What is listened through at first; later ones have its channels and latency.</param>
    /// <param name="sampleRateHz">Of the stream.</param>
    /// <param name="maxBlockFrames">The longest block that Process will be given.</param>
    /// <param name="maxTapCount">The longest filter that will ever be published.</param>
    public FieldListener(MatrixFilter filter, double sampleRateHz, int maxBlockFrames, int maxTapCount = 0)
    {
        ArgumentNullException.ThrowIfNull(filter);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxBlockFrames, 1);
        var order = (int)Math.Round(Math.Sqrt(filter.Inputs)) - 1;
        if (filter.Inputs != SphericalHarmonics.ChannelCount(order))
            throw new ArgumentException($"A field has 4, 9 or 16 channels, not {filter.Inputs}.", nameof(filter));
        (Inputs, Outputs, MaxBlockFrames) = (filter.Inputs, filter.Outputs, maxBlockFrames);
        turner = new FieldTurner(order, sampleRateHz, maxBlockFrames);
        turned = new AlignedBuffer<float>(Inputs * maxBlockFrames);
        if (filter.Inputs * Math.Max(filter.TapCount, maxTapCount) * sampleRateHz <= MaxDirectTapsPerSecond)
            direct = new DirectMatrixConvolver(new DirectFilter(filter), maxBlockFrames, maxTapCount);
        else
            blockwise = new StreamingMatrixConvolver(new PartitionedFilter(filter, BlockFrames(sampleRateHz)), maxTapCount);
    }

    public int Inputs { get; }

    public int Outputs { get; }

    public int MaxBlockFrames { get; }

    public int LatencyFrames => direct?.LatencyFrames ?? blockwise!.LatencyFrames;

    /// <summary>[main] Fades over to another filter.</summary>
    public void Publish(MatrixFilter filter)
    {
        direct?.Publish(new DirectFilter(filter));
        blockwise?.Publish(new PartitionedFilter(filter, blockwise.BlockFrames));
    }

    /// <summary>[audio] The listener turns: the field turns the other way, smoothly.</summary>
    public void TurnListenerTo(Rotation3D turn) => turner.TurnTo(turn.Inverse());

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        var field = new PlanarSpan(turned.Span, Inputs, input.Frames, MaxBlockFrames);
        if (SampleGuard.IsUsable(input))
        {
            turner.Process(input, field);
        }
        else
        {
            turned.Clear();
            turner.Process(field, field);
        }
        if (direct != null)
            direct.Process(field, output);
        else
            blockwise!.Process(field, output);
    }

    public void Reset()
    {
        turner.Reset();
        direct?.Reset();
        blockwise?.Reset();
    }

    private static int BlockFrames(double sampleRateHz)
    {
        var frames = 1;
        while (2 * frames <= BlockSeconds * sampleRateHz)
            frames *= 2;
        return frames;
    }
}
