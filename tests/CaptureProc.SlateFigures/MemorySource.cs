using CaptureProc.Analysis;

namespace CaptureProc.SlateFigures;

/// <summary>A recording in memory.</summary>
internal sealed class MemorySource(float[][] channels) : IFrameSource
{
    public long FrameCount => channels[0].Length;

    public int ChannelCount => channels.Length;

    public void Read(long firstFrame, float[]?[] planar, int frames)
    {
        for (var c = 0; c < channels.Length; c++)
        {
            if (planar[c] is not { } wanted)
                continue;
            wanted.AsSpan(0, frames).Clear();
            var from = Math.Max(0, firstFrame);
            var count = (int)Math.Min(firstFrame + frames, channels[c].Length) - (int)from;
            if (count > 0)
                channels[c].AsSpan((int)from, count).CopyTo(wanted.AsSpan((int)(from - firstFrame)));
        }
    }
}
