using System.Globalization;
using System.Text;
using System.Xml;
using System.Xml.Linq;

namespace CaptureProc.Wav.Metadata;

/// <summary>What a recorder says about its tracks, in an iXML chunk.</summary>
/// <remarks>
/// Root BWFXML, then TRACK_LIST with TRACK_COUNT and TRACK elements; INTERLEAVE_INDEX is the place in the file, CHANNEL_INDEX the
/// recorder's own number of the track, both from 1; SPEED holds TIMESTAMP_SAMPLE_RATE; every element is optional. Source: the format's
/// public pages. FUNCTION takes EBU AudioChannelFunction terms (2019), as ACN0-FOA.
/// </remarks>
internal sealed class TrackList
{
    // The format nests four deep. Text taken out of elements that hold each other by the thousand costs its square.
    private const int MaxDepth = 32;
    private const int MaxCharacters = 1 << 20;

    private TrackList(string?[] names, bool isDamaged, int? stampRateHz) => (Names, IsDamaged, StampRateHz) = (names, isDamaged, stampRateHz);

    /// <summary>The name of each channel; null where the list has none.</summary>
    public IReadOnlyList<string?> Names { get; }

    /// <summary>Whether there is a chunk that cannot be read.</summary>
    public bool IsDamaged { get; }

    /// <summary>The rate at which the time stamp counts; null where it is not said.</summary>
    public int? StampRateHz { get; }

    public static TrackList Read(byte[]? chunk, int channelCount)
    {
        var names = new string?[channelCount];
        if (chunk is null)
            return new TrackList(names, isDamaged: false, null);
        if (Parse(chunk) is not { } root)
            return new TrackList(names, isDamaged: true, null);
        foreach (var track in root.Elements("TRACK_LIST").Elements("TRACK"))
        {
            var index = Number(track, "INTERLEAVE_INDEX") ?? Number(track, "CHANNEL_INDEX");
            var name = track.Element("NAME")?.Value.Trim();
            if (index >= 1 && index <= channelCount && !string.IsNullOrEmpty(name))
                names[index.Value - 1] = name;
        }
        return new TrackList(names, isDamaged: false, root.Element("SPEED") is { } speed ? Number(speed, "TIMESTAMP_SAMPLE_RATE") : null);
    }

    /// <summary>An iXML chunk with these names; everything else in <paramref name="source"/> is kept.</summary>
    public static byte[] Write(byte[]? source, IReadOnlyList<string?> names, IReadOnlyList<string?> functions)
    {
        var root = source is null ? null : Parse(source);
        root ??= new XElement("BWFXML", new XElement("IXML_VERSION", "2.10"));
        root.Elements("TRACK_LIST").Remove();
        root.Add(new XElement("TRACK_LIST",
            new XElement("TRACK_COUNT", names.Count),
            names.Select((name, i) => new XElement("TRACK",
                new XElement("CHANNEL_INDEX", i + 1),
                new XElement("INTERLEAVE_INDEX", i + 1),
                name is null ? null : new XElement("NAME", name),
                i < functions.Count && functions[i] is { } function ? new XElement("FUNCTION", function) : null))));
        using var stream = new MemoryStream();
        using (var writer = XmlWriter.Create(stream, new XmlWriterSettings { Encoding = new UTF8Encoding(false), Indent = true, NewLineChars = "\n" }))
            root.Save(writer);
        return stream.ToArray();
    }

    private static XElement? Parse(byte[] chunk)
    {
        // Recorders pad the chunk with zeros so that it can grow in place.
        var length = Array.FindLastIndex(chunk, b => b != 0) + 1;
        try
        {
            if (!IsShallow(chunk, length))
                return null;
            using var reader = Reader(chunk, length);
            return XElement.Load(reader);
        }
        catch (XmlException)
        {
            return null;
        }
    }

    private static bool IsShallow(byte[] chunk, int length)
    {
        using var reader = Reader(chunk, length);
        while (reader.Read())
            if (reader.Depth > MaxDepth)
                return false;
        return true;
    }

    private static XmlReader Reader(byte[] chunk, int length) => XmlReader.Create(new MemoryStream(chunk, 0, length),
        new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null, MaxCharactersInDocument = MaxCharacters });

    private static int? Number(XElement track, string element) =>
        int.TryParse(track.Element(element)?.Value, NumberStyles.Integer, CultureInfo.InvariantCulture, out var value) ? value : null;
}
