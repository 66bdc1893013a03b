namespace CaptureProc.Analysis.Clock;

/// <summary>A recording in which some channels come later by whole frames.</summary>
/// <remarks>Thread: as the source behind it.</remarks>
internal sealed class ShiftedFrameSource(IFrameSource source, IReadOnlyList<int> channels, long laterFrames) : IFrameSource
{
    public long FrameCount => source.FrameCount;

    public int ChannelCount => source.ChannelCount;

    public void Read(long firstFrame, float[]?[] planar, int frames)
    {
        var (moved, others) = (new float[]?[planar.Length], (float[]?[])planar.Clone());
        foreach (var channel in channels)
            (moved[channel], others[channel]) = (planar[channel], null);
        source.Read(firstFrame, others, frames);
        source.Read(firstFrame - laterFrames, moved, frames);
    }
}
