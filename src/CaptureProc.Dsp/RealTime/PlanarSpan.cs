using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.RealTime;

/// <summary>A block of audio that somebody else owns: for every channel a run of samples, all of the same length.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. Shape: Channels runs of Frames samples, in any of the three forms that audio comes in:
/// one array a channel (files), one flat run with the channels behind each other (our own buffers), or native pointers (hosts).
/// Processors take their input as <see cref="ReadOnlyPlanarSpan"/>, to which this converts by itself.
/// </remarks>
public readonly unsafe ref struct PlanarSpan
{
    private readonly ReadOnlySpan<float[]> rows;
    private readonly Span<float> flat;
    private readonly float** pointers;
    private readonly int stride;
    private readonly int start;

    /// <summary>One array a channel: frames from <paramref name="startFrame"/> on.</summary>
    public PlanarSpan(ReadOnlySpan<float[]> channels, int startFrame, int frames)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(startFrame);
        ArgumentOutOfRangeException.ThrowIfNegative(frames);
        foreach (var channel in channels)
        {
            if (channel.Length - startFrame < frames)
                throw new ArgumentException($"A channel has {channel.Length} samples; {frames} from {startFrame} on are asked for.", nameof(channels));
        }

        rows = channels;
        (start, Channels, Frames) = (startFrame, channels.Length, frames);
    }

    /// <summary>Channels behind each other; <paramref name="stride"/> samples from the start of one to the start of the next.</summary>
    public PlanarSpan(Span<float> samples, int channels, int frames, int stride)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(channels);
        ArgumentOutOfRangeException.ThrowIfNegative(frames);
        ArgumentOutOfRangeException.ThrowIfLessThan(stride, frames);
        if (channels > 0 && (long)(channels - 1) * stride + frames > samples.Length)
            throw new ArgumentException($"{samples.Length} samples cannot hold {channels} channels of {frames}.", nameof(samples));
        flat = samples;
        (Channels, Frames, this.stride) = (channels, frames, stride);
    }

    /// <summary>What a host hands over; nothing can be checked here.</summary>
    public PlanarSpan(float** channels, int channelCount, int frames)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(channelCount);
        ArgumentOutOfRangeException.ThrowIfNegative(frames);
        pointers = channels;
        (Channels, Frames) = (channelCount, frames);
    }

    private PlanarSpan(PlanarSpan whole, int startFrame, int frames)
    {
        this = whole;
        (start, Frames) = (whole.start + startFrame, frames);
    }

    public int Channels { get; }

    public int Frames { get; }

    public Span<float> this[int channel]
    {
        get
        {
            ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual((uint)channel, (uint)Channels, nameof(channel));
            if (pointers != null)
                return new Span<float>(pointers[channel] + start, Frames);
            return rows.IsEmpty ? flat.Slice(channel * stride + start, Frames) : rows[channel].AsSpan(start, Frames);
        }
    }

    public static implicit operator PlanarSpan(float[][] channels) => new(channels, 0, channels.Length == 0 ? 0 : channels[0].Length);

    public PlanarSpan Slice(int startFrame, int frames)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan((uint)startFrame, (uint)Frames, nameof(startFrame));
        ArgumentOutOfRangeException.ThrowIfGreaterThan((uint)frames, (uint)(Frames - startFrame), nameof(frames));
        return new PlanarSpan(this, startFrame, frames);
    }

    public void Clear()
    {
        for (var channel = 0; channel < Channels; channel++)
            this[channel].Clear();
    }
}

/// <summary>A <see cref="PlanarSpan"/> to read from only.</summary>
public readonly unsafe ref struct ReadOnlyPlanarSpan
{
    // Handed out as read-only again by the indexer, which is the only way in.
    private readonly PlanarSpan block;

    public ReadOnlyPlanarSpan(PlanarSpan block) => this.block = block;

    public ReadOnlyPlanarSpan(ReadOnlySpan<float[]> channels, int startFrame, int frames) => block = new PlanarSpan(channels, startFrame, frames);

    public ReadOnlyPlanarSpan(ReadOnlySpan<float> samples, int channels, int frames, int stride) =>
        block = new PlanarSpan(MemoryMarshal.CreateSpan(ref MemoryMarshal.GetReference(samples), samples.Length), channels, frames, stride);

    public ReadOnlyPlanarSpan(float** channels, int channelCount, int frames) => block = new PlanarSpan(channels, channelCount, frames);

    public int Channels => block.Channels;

    public int Frames => block.Frames;

    public ReadOnlySpan<float> this[int channel] => block[channel];

    public static implicit operator ReadOnlyPlanarSpan(PlanarSpan block) => new(block);

    public static implicit operator ReadOnlyPlanarSpan(float[][] channels) => new((PlanarSpan)channels);

    public ReadOnlyPlanarSpan Slice(int startFrame, int frames) => new(block.Slice(startFrame, frames));
}
