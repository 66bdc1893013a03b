namespace CaptureProc.Dsp.RealTime;

/// <summary>The latest samples of some channels, each in one unbroken run, for kernels that look back.</summary>
/// <remarks>
/// Thread: [audio] once made. Allocates: in the constructor only.
/// Samples are written one block behind the other; when the buffer is full, the part that is still needed moves to the front.
/// That costs one copy in many blocks, and spares every kernel the wrap of a ring. Every object begins at another place, so
/// that the copies of many processors that run side by side do not all fall into one block.
/// </remarks>
internal sealed class SlidingHistory
{
    // As much room as history at least: then a sample is moved once on average, and far less where the history is short.
    private const int SmallestRoom = 4096;

    private static int made;

    private readonly AlignedBuffer<float>[] channels;
    private readonly int historyFrames;
    private readonly int roomFrames;
    private readonly int firstFrame;
    private int writeFrame;

    /// <param name="channelCount">Channels.</param>
    /// <param name="historyFrames">How far back a kernel looks from the first frame of a block.</param>
    /// <param name="maxBlockFrames">The longest block.</param>
    /// <param name="overreadFrames">How far behind the end of a block a kernel reads; what is there has no meaning, but is finite.</param>
    public SlidingHistory(int channelCount, int historyFrames, int maxBlockFrames, int overreadFrames)
    {
        this.historyFrames = historyFrames;
        roomFrames = historyFrames + Math.Max(maxBlockFrames, Math.Max(SmallestRoom, historyFrames));
        firstFrame = historyFrames + PlaceFor(Interlocked.Increment(ref made), roomFrames - historyFrames);
        writeFrame = firstFrame;
        channels = new AlignedBuffer<float>[channelCount];
        for (var channel = 0; channel < channelCount; channel++)
            channels[channel] = new AlignedBuffer<float>(roomFrames + overreadFrames);
    }

    /// <summary>Takes in a block, as silence if it is not usable, and returns where its first frame stands.</summary>
    public int Append(ReadOnlyPlanarSpan block, bool usable)
    {
        var frames = block.Frames;
        if (writeFrame + frames > roomFrames)
        {
            foreach (var channel in channels)
                channel.Span.Slice(writeFrame - historyFrames, historyFrames).CopyTo(channel.Span);
            writeFrame = historyFrames;
        }

        for (var channel = 0; channel < channels.Length; channel++)
        {
            var newest = channels[channel].Span.Slice(writeFrame, frames);
            if (usable)
                SampleGuard.CopyFlushed(block[channel], newest);
            else
                newest.Clear();
        }

        var first = writeFrame;
        writeFrame += frames;
        return first;
    }

    /// <summary>The sample of a channel at a frame as <see cref="Append"/> counts them.</summary>
    public ref float At(int channel, int frame) => ref System.Runtime.CompilerServices.Unsafe.Add(ref channels[channel].First, frame);

    /// <summary>Samples of a channel from a frame on.</summary>
    public ReadOnlySpan<float> Run(int channel, int frame, int frames) => channels[channel].Span.Slice(frame, frames);

    public void Reset()
    {
        foreach (var channel in channels)
            channel.Clear();
        writeFrame = firstFrame;
    }

    // Steps of the golden section: however many there are, they lie about evenly spread.
    private static int PlaceFor(int number, int frames) => (int)(((uint)number * 2654435769u * (ulong)frames) >> 32);
}
