using CaptureProc.Wav;

namespace CaptureProc.Analysis.Measuring;

/// <summary>A recording on disk as the analysis reads it: from any place, without the offset of a converter.</summary>
/// <remarks>
/// A constant offset is no sound, but it begins with the recording and ends with it, and each end is as sudden as a clap. So what
/// a channel's first second has on average, in both of its halves alike, is taken off everywhere.
/// </remarks>
public sealed class WavFrameSource : IFrameSource
{
    // -100 dBFS: below that no onset comes of it.
    private const float LeastOffset = 1e-5f;

    private readonly WavInput input;
    private readonly float[] offsets;

    public WavFrameSource(WavInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        this.input = input;
        offsets = FindOffsets(input);
    }

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
        for (var c = 0; c < planar.Length; c++)
        {
            if (planar[c] is not { } channel)
                continue;
            if (offsets[c] != 0)
                foreach (ref var sample in channel.AsSpan(0, there))
                    sample -= offsets[c];
            channel.AsSpan(there, frames - there).Clear();
        }
    }

    private static float[] FindOffsets(WavInput input)
    {
        var frames = (int)Math.Min(input.SampleRateHz, input.FrameCount);
        var planar = new float[]?[input.ChannelCount];
        for (var c = 0; c < planar.Length; c++)
            planar[c] = new float[frames];
        input.Seek(0);
        input.Read(planar, frames);
        return Array.ConvertAll(planar, channel =>
        {
            var (early, late) = (Mean(channel.AsSpan(0, frames / 2)), Mean(channel.AsSpan(frames / 2, frames - frames / 2)));
            var mean = (early + late) / 2;
            return Math.Abs(mean) > LeastOffset && Math.Abs(early - late) < 0.2 * Math.Abs(mean) ? (float)mean : 0;
        });
    }

    private static double Mean(ReadOnlySpan<float> samples)
    {
        var sum = 0.0;
        foreach (var sample in samples)
            sum += sample;
        return samples.Length == 0 ? 0 : sum / samples.Length;
    }
}
