using System.Buffers.Binary;
using System.Runtime.InteropServices;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Waves;

/// <summary>A stretch of a recording as a page draws it: a range of samples for every column, or the samples themselves.</summary>
/// <remarks>
/// Bytes, little endian: int32 kind (0 ranges, 1 samples), int32 count (columns or samples a channel), float64 first frame, float64
/// frames a column, float64 share of the recording that has been looked through. Then channel by channel: ranges as two companded
/// bytes a column, smallest and largest; samples as float32.
/// </remarks>
internal sealed record WaveView(long FirstFrame, long Frames, int Columns)
{
    private const int HeadBytes = 32;
    private const int MostColumns = 8192;
    private const int SamplesPerColumn = 3;

    public static WaveView Of(long firstFrame, long frames, int columns) =>
        frames >= 1 && columns is >= 1 and <= MostColumns && firstFrame > -(1L << 40) && firstFrame < 1L << 40 && frames < 1L << 40
            ? new WaveView(firstFrame, frames, columns)
            : throw new UnusableInputException("bad-order", $"a view of {frames} frames in {columns} columns cannot be drawn");

    public byte[] Draw(IReadOnlyList<string> paths, Overview overview)
    {
        if (Frames <= (long)Columns * SamplesPerColumn)
            return DrawSamples(paths);
        var bytes = Head(0, Columns, FirstFrame, (double)Frames / Columns, overview.ShareDone, overview.ChannelCount * Columns * 2);
        var isRead = true;
        for (var channel = 0; channel < overview.ChannelCount && isRead; channel++)
            isRead = overview.TryRead(channel, FirstFrame, (double)Frames / Columns, Ranges(bytes, channel));
        if (!isRead)
            ReadRanges(paths, bytes);
        return bytes;
    }

    private Span<sbyte> Ranges(byte[] bytes, int channel) =>
        MemoryMarshal.Cast<byte, sbyte>(bytes.AsSpan(HeadBytes + channel * Columns * 2, Columns * 2));

    private byte[] DrawSamples(IReadOnlyList<string> paths)
    {
        using var input = WavInput.Open(new TakeFiles(paths));
        var planar = Read(input, out var first);
        var count = planar[0].Length;
        var bytes = Head(1, count, first, 1, 1, planar.Length * count * sizeof(float));
        for (var c = 0; c < planar.Length; c++)
            MemoryMarshal.AsBytes(planar[c].AsSpan()).CopyTo(bytes.AsSpan(HeadBytes + c * count * sizeof(float)));
        return bytes;
    }

    private void ReadRanges(IReadOnlyList<string> paths, byte[] bytes)
    {
        using var input = WavInput.Open(new TakeFiles(paths));
        var planar = Read(input, out var first);
        var width = (double)Frames / Columns;
        for (var channel = 0; channel < planar.Length; channel++)
        {
            var ranges = Ranges(bytes, channel);
            for (var i = 0; i < Columns; i++)
            {
                var from = (int)Math.Clamp(FirstFrame + Math.Floor(i * width) - first, 0, planar[channel].Length);
                var to = (int)Math.Clamp(FirstFrame + Math.Ceiling((i + 1) * width) - first, from, planar[channel].Length);
                if (from == to)
                    continue;
                var (low, high) = SampleRange.Of<float>(planar[channel].AsSpan(from, to - from));
                (ranges[2 * i], ranges[2 * i + 1]) = (Companding.Down(low), Companding.Down(high));
            }
        }
    }

    // What lies before the beginning or after the end is left out; the head says where the samples begin.
    private float[][] Read(WavInput input, out long first)
    {
        first = Math.Clamp(FirstFrame, 0, input.FrameCount);
        var count = (int)(Math.Clamp(FirstFrame + Frames, 0, input.FrameCount) - first);
        var planar = new float[input.ChannelCount][];
        for (var c = 0; c < planar.Length; c++)
            planar[c] = new float[count];
        if (count > 0)
        {
            input.Seek(first);
            input.Read(planar, count);
        }
        return planar;
    }

    private static byte[] Head(int kind, int count, double firstFrame, double framesPerColumn, double share, int bodyBytes)
    {
        var bytes = new byte[HeadBytes + bodyBytes];
        BinaryPrimitives.WriteInt32LittleEndian(bytes, kind);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(4), count);
        BinaryPrimitives.WriteDoubleLittleEndian(bytes.AsSpan(8), firstFrame);
        BinaryPrimitives.WriteDoubleLittleEndian(bytes.AsSpan(16), framesPerColumn);
        BinaryPrimitives.WriteDoubleLittleEndian(bytes.AsSpan(24), share);
        return bytes;
    }
}
