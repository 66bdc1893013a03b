using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Rendering.Streaming;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Conversion;

/// <summary>Renders an array's channels through a matrix of filters.</summary>
public sealed class ConversionRenderer : IBlockRenderer
{
    private readonly BlockMatrixConvolver convolver;

    public ConversionRenderer(ArrayEntry array, MatrixFilter filter)
    {
        convolver = new BlockMatrixConvolver(filter);
        InputChannels = [.. array.Channels.Select(c => c - 1)];
    }

    public IReadOnlyList<int> InputChannels { get; }

    public int OutputChannelCount => convolver.Outputs;

    public int MaxBlockFrames => convolver.MaxBlockFrames;

    public int LatencyFrames => convolver.LatencyFrames;

    public void Render(float[][] input, float[][] output, int first, int frames) =>
        convolver.Process(new ReadOnlyPlanarSpan(input, first, frames), new PlanarSpan(output, first, frames));
}
