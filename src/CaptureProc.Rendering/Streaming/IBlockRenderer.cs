namespace CaptureProc.Rendering.Streaming;

/// <summary>Something that makes output channels of a recording's channels, block by block.</summary>
/// <remarks>
/// Thread: one. Shape: <see cref="Render"/> takes frames of InputChannels (0-based channels of the recording, in this order) and
/// makes as many frames of OutputChannels, in the same place of the arrays; 1 to MaxBlockFrames at a time.
/// Latency: what comes out first are LatencyFrames frames of before the beginning; whoever runs it drops them and feeds as much
/// silence at the end, so that output time is input time from the first sample to the last.
/// </remarks>
public interface IBlockRenderer
{
    IReadOnlyList<int> InputChannels { get; }

    int OutputChannelCount { get; }

    int MaxBlockFrames { get; }

    int LatencyFrames { get; }

    void Render(float[][] input, float[][] output, int first, int frames);
}
