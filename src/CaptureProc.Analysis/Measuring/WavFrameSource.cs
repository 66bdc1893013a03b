using CaptureProc.Wav;

namespace CaptureProc.Analysis.Measuring;

/// <summary>A recording on disk as the analysis reads it.</summary>
public sealed class WavFrameSource(WavInput input) : IFrameSource
{
    public long FrameCount => input.FrameCount;

    public int ChannelCount => input.ChannelCount;

    public void Read(long firstFrame, float[]?[] planar, int frames)
    {
        var skip = (int)Math.Clamp(-firstFrame, 0, frames);
        if (skip > 0)
        {
            // Only an excerpt around the very first frames begins before the recording.
            var inner = Array.ConvertAll(planar, channel => channel is null ? null : new float[frames - skip]);
            Read(0, inner, frames - skip);
            for (var c = 0; c < planar.Length; c++)
            {
                planar[c]?.AsSpan(0, skip).Clear();
                inner[c]?.AsSpan().CopyTo(planar[c].AsSpan(skip));
            }
            return;
        }
        input.Seek(Math.Min(firstFrame, FrameCount));
        var there = input.Read(planar, frames);
        foreach (var channel in planar)
            channel?.AsSpan(there, frames - there).Clear();
    }
}
