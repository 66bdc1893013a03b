namespace CaptureProc.Analysis;

/// <summary>A recording that can be read from any place: a file, or a simulated scene in memory.</summary>
public interface IFrameSource
{
    long FrameCount { get; }

    int ChannelCount { get; }

    /// <summary>Fills the wanted channels from a frame on; beyond either end there is silence.</summary>
    /// <param name="firstFrame">May lie before the beginning.</param>
    /// <param name="planar">One array a channel; null where a channel is not wanted.</param>
    /// <param name="frames">How many frames.</param>
    void Read(long firstFrame, float[]?[] planar, int frames);
}
