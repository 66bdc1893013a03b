using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Rendering.Streaming;

namespace CaptureProc.Rendering.Listening;

/// <summary>Renders channels of a recording through a matrix of filters to two channels, and notes their peak.</summary>
public sealed class ListeningRenderer : IBlockRenderer
{
    private readonly BlockMatrixConvolver convolver;
    private readonly float gain;
    private float peak;

    /// <param name="inputChannels">The filter's inputs as channels of the recording, counted from 0.</param>
    /// <param name="filter">To left and right.</param>
    /// <param name="gainDb">Added to both.</param>
    public ListeningRenderer(IReadOnlyList<int> inputChannels, MatrixFilter filter, double gainDb)
    {
        ArgumentNullException.ThrowIfNull(filter);
        if (inputChannels.Count != filter.Inputs)
            throw new ArgumentException($"The filter has {filter.Inputs} inputs, not {inputChannels.Count}.", nameof(inputChannels));
        InputChannels = inputChannels;
        convolver = new BlockMatrixConvolver(filter);
        gain = (float)Math.Pow(10, gainDb / 20);
    }

    public IReadOnlyList<int> InputChannels { get; }

    public int OutputChannelCount => convolver.Outputs;

    public int MaxBlockFrames => convolver.MaxBlockFrames;

    public int LatencyFrames => convolver.LatencyFrames;

    /// <summary>The largest sample so far, in dB below full scale; minus infinity for silence.</summary>
    public double PeakDbfs => 20 * Math.Log10(peak);

    public void Render(float[][] input, float[][] output, int first, int frames)
    {
        convolver.Process(new ReadOnlyPlanarSpan(input, first, frames), new PlanarSpan(output, first, frames));
        foreach (var channel in output)
        {
            foreach (ref var sample in channel.AsSpan(first, frames))
            {
                sample *= gain;
                peak = Math.Max(peak, Math.Abs(sample));
            }
        }
    }
}
