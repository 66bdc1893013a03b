using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Report.Lists;

/// <summary>The claps of a slate as markers that editors import: a Standard MIDI File with marker events and no note.</summary>
/// <remarks>
/// Thread: [any]. Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association, RP-001), format 0, meta events 0x03 track
/// name, 0x51 tempo, 0x06 marker, 0x2F end of track. At 120 quarters a minute, which an importer assumes where it passes over the
/// tempo, a tick of 1/960 quarter is 0.52 ms: markers are for finding a place, delays have their own list.
/// Time is that of the slate recording; text is UTF-8.
/// </remarks>
public static class MarkerFile
{
    private const int TicksPerQuarter = 960;
    private const int MicrosecondsPerQuarter = 500_000;
    private const byte TrackName = 0x03, Marker = 0x06, EndOfTrack = 0x2F, Tempo = 0x51;

    public static byte[] Make(SessionDocument session, ArrayEntry array)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(array);
        var heard = session.HeardBy(array);
        if (heard.Clicks.Count == 0)
            throw new UnusableInputException("nothing-to-mark", $"the session holds no claps heard by array '{array.Id}', so there is nothing to mark; run 'captureproc measure' first");
        var track = new MemoryStream();
        Event(track, 0, TrackName, Encoding.UTF8.GetBytes(session.Title ?? "slate"));
        Event(track, 0, Tempo, [MicrosecondsPerQuarter >> 16, (MicrosecondsPerQuarter >> 8) & 0xFF, MicrosecondsPerQuarter & 0xFF]);
        var before = 0L;
        foreach (var click in heard.Clicks.OrderBy(c => c.TimeSeconds))
        {
            var at = (long)Math.Round(Math.Max(0, click.TimeSeconds) * 1e6 / MicrosecondsPerQuarter * TicksPerQuarter);
            Event(track, at - before, Marker, Encoding.UTF8.GetBytes(Words(heard, click)));
            before = at;
        }
        Event(track, 0, EndOfTrack, []);

        var file = new byte[14 + 8 + track.Length];
        "MThd"u8.CopyTo(file);
        BinaryPrimitives.WriteInt32BigEndian(file.AsSpan(4), 6);
        BinaryPrimitives.WriteInt16BigEndian(file.AsSpan(8), 0);
        BinaryPrimitives.WriteInt16BigEndian(file.AsSpan(10), 1);
        BinaryPrimitives.WriteInt16BigEndian(file.AsSpan(12), TicksPerQuarter);
        "MTrk"u8.CopyTo(file.AsSpan(14));
        BinaryPrimitives.WriteInt32BigEndian(file.AsSpan(18), (int)track.Length);
        track.ToArray().CopyTo(file.AsSpan(22));
        return file;
    }

    private static string Words(SessionDocument session, ClickEntry click)
    {
        if (click.Spot is null)
            return "clap";
        var delay = session.Spots.FirstOrDefault(s => s.Id == click.Spot)?.Delay;
        return delay is null ? $"{click.Spot}: clap" : string.Create(CultureInfo.InvariantCulture, $"{click.Spot}: clap, spot {delay.Samples:+0.00;-0.00} samples");
    }

    private static void Event(MemoryStream track, long ticks, byte kind, ReadOnlySpan<byte> data)
    {
        Length(track, ticks);
        track.WriteByte(0xFF);
        track.WriteByte(kind);
        Length(track, data.Length);
        track.Write(data);
    }

    // Seven bits a byte, the highest first; the eighth says that more follow.
    private static void Length(MemoryStream track, long value)
    {
        for (var shift = 28; shift > 0; shift -= 7)
            if (value >> shift != 0)
                track.WriteByte((byte)(0x80 | ((value >> shift) & 0x7F)));
        track.WriteByte((byte)(value & 0x7F));
    }
}
