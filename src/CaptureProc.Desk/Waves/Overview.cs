using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Waves;

/// <summary>Smallest and largest sample of every channel over 64 frames, and over 4, 16, 64 … times as many: a whole recording in a few megabytes.</summary>
/// <remarks>
/// Thread: one builds, any read; what is not built yet reads as nothing. Memory: 2.7 bytes a channel for every <see cref="FramesPerCell"/> frames.
/// The first level is fine enough that whatever lies below it can be read from the file for one screen in a few milliseconds.
/// </remarks>
internal sealed class Overview
{
    private const int FinestFrames = 64;
    private const int Step = 4;

    // 16 channels for ten minutes have 7 million cells at 64 frames; longer takes get coarser cells in place of more memory.
    private const long MostCells = 16_000_000;

    private const int BlockFrames = 32768;

    private readonly Level[] levels;
    private long framesDone;

    public Overview(int channels, long frames)
    {
        (ChannelCount, FrameCount) = (channels, frames);
        FramesPerCell = FinestFrames;
        while (channels * (frames / FramesPerCell) > MostCells)
            FramesPerCell *= 2;
        var made = new List<Level>();
        for (long cell = FramesPerCell; made.Count == 0 || cell * 256 <= frames; cell *= Step)
            made.Add(new Level(cell, channels, (int)((frames + cell - 1) / cell)));
        levels = [.. made];
    }

    public int ChannelCount { get; }

    public long FrameCount { get; }

    /// <summary>Of the finest level.</summary>
    public int FramesPerCell { get; }

    public double ShareDone => FrameCount == 0 ? 1 : (double)Interlocked.Read(ref framesDone) / FrameCount;

    /// <summary>Goes through the recording once.</summary>
    public void Build(WavInput input, CancellationToken stop)
    {
        var planar = new float[ChannelCount][];
        for (var c = 0; c < planar.Length; c++)
            planar[c] = new float[BlockFrames];
        input.Seek(0);
        for (long first = 0; input.Read(planar, BlockFrames) is var frames and > 0 && !stop.IsCancellationRequested; first += frames)
        {
            for (var c = 0; c < planar.Length; c++)
                Take(c, first, planar[c].AsSpan(0, frames));
            Interlocked.Exchange(ref framesDone, first + frames);
        }
    }

    /// <summary>The smallest and the largest sample over each of some columns of equal width.</summary>
    /// <param name="channel">From 0.</param>
    /// <param name="columns">Smallest and largest by turns, two bytes a column.</param>
    /// <returns>Whether the overview is fine enough for that.</returns>
    public bool TryRead(int channel, double firstFrame, double framesPerColumn, Span<sbyte> columns)
    {
        var level = Array.FindLast(levels, l => l.FramesPerCell <= framesPerColumn);
        if (level is null)
            return false;
        for (var i = 0; i < columns.Length / 2; i++)
        {
            var from = (long)Math.Floor((firstFrame + i * framesPerColumn) / level.FramesPerCell);
            var to = (long)Math.Ceiling((firstFrame + (i + 1) * framesPerColumn) / level.FramesPerCell);
            (columns[2 * i], columns[2 * i + 1]) = level.Range(channel, from, to);
        }
        return true;
    }

    private void Take(int channel, long first, ReadOnlySpan<float> samples)
    {
        for (var done = 0; done < samples.Length; done += FramesPerCell)
        {
            var cell = samples.Slice(done, Math.Min(FramesPerCell, samples.Length - done));
            var range = SampleRange.Of(cell);
            var (low, high) = (Companding.Down(range.Low), Companding.Down(range.High));
            foreach (var level in levels)
                level.Widen(channel, (first + done) / level.FramesPerCell, low, high);
        }
    }

    private sealed class Level(long framesPerCell, int channels, int cells)
    {
        private readonly sbyte[] lows = new sbyte[(long)channels * cells];
        private readonly sbyte[] highs = new sbyte[(long)channels * cells];

        public long FramesPerCell { get; } = framesPerCell;

        public void Widen(int channel, long cell, sbyte low, sbyte high)
        {
            var at = (long)channel * cells + cell;
            // The first samples of a cell set it; zero would pull every cell of a signal with an offset to the line.
            var isFirst = lows[at] == 0 && highs[at] == 0;
            lows[at] = isFirst ? low : Math.Min(lows[at], low);
            highs[at] = isFirst ? high : Math.Max(highs[at], high);
        }

        public (sbyte Low, sbyte High) Range(int channel, long from, long to)
        {
            from = Math.Max(0, from);
            to = Math.Min(cells, to);
            if (from >= to)
                return (0, 0);
            var start = (int)((long)channel * cells + from);
            var count = (int)(to - from);
            return SampleRange.Of<sbyte>(lows.AsSpan(start, count), highs.AsSpan(start, count));
        }
    }
}
