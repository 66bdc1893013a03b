using System.Buffers.Binary;
using System.Globalization;
using System.Text;

namespace CaptureProc.Wav.Metadata;

/// <summary>The <c>bext</c> chunk of a programme: carried along from the recording or begun afresh, with its loudness.</summary>
/// <remarks>
/// Offsets: description 0 (256), originator 256 (32), date 320 (10), time 330 (8), version 346, loudness from 412: integrated, range,
/// true peak, momentary, short-term as i16 hundredths, 0x7FFF where unused; coding history from 602, lines of CR LF.
/// Source: EBU Tech 3285 (structure as in libsndfile; rounding from memory); coding history, EBU R 98 (from memory).
/// </remarks>
public static class BroadcastExtension
{
    private const int FixedBytes = 602;
    private const int VersionOffset = 346;
    private const int LoudnessOffset = 412;
    private const short Unused = 0x7FFF;

    /// <summary>A chunk for a recording that brings none.</summary>
    public static byte[] Begin(string description, DateTimeOffset made)
    {
        var chunk = new byte[FixedBytes];
        Put(chunk, 0, 256, description);
        Put(chunk, 256, 32, "CaptureProc");
        Put(chunk, 320, 10, made.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture));
        Put(chunk, 330, 8, made.ToString("HH:mm:ss", CultureInfo.InvariantCulture));
        return chunk;
    }

    /// <summary>The same chunk with these figures and one more line of coding history.</summary>
    /// <param name="figures">Integrated, range, true peak, momentary, short-term in LUFS, LU and dBTP; not finite = unused.</param>
    public static byte[] WithLoudness(byte[] source, ReadOnlySpan<double> figures, string codingHistory)
    {
        var chunk = new byte[Math.Max(source.Length, FixedBytes)];
        source.CopyTo(chunk, 0);
        var version = BinaryPrimitives.ReadUInt16LittleEndian(chunk.AsSpan(VersionOffset));
        BinaryPrimitives.WriteUInt16LittleEndian(chunk.AsSpan(VersionOffset), Math.Max(version, (ushort)2));
        for (var i = 0; i < 5; i++)
            BinaryPrimitives.WriteInt16LittleEndian(chunk.AsSpan(LoudnessOffset + 2 * i), Hundredths(figures[i]));

        var end = FixedBytes + chunk.AsSpan(FixedBytes).TrimEnd((byte)0).Length;
        var line = Encoding.Latin1.GetBytes(codingHistory + "\r\n");
        return [.. chunk.AsSpan(0, end), .. line, 0];
    }

    private static short Hundredths(double value) =>
        double.IsFinite(value) ? (short)Math.Clamp(Math.Round(100 * value), short.MinValue, Unused - 1) : Unused;

    private static void Put(byte[] chunk, int offset, int length, string text)
    {
        var bytes = Encoding.Latin1.GetBytes(text);
        bytes.AsSpan(0, Math.Min(bytes.Length, length)).CopyTo(chunk.AsSpan(offset));
    }
}
