using System.Globalization;
using System.Text;
using System.Xml;
using System.Xml.Linq;

namespace CaptureProc.Wav.Metadata;

/// <summary>The names that a recorder gives its tracks, in an iXML chunk.</summary>
/// <remarks>
/// Root BWFXML, then TRACK_LIST with TRACK_COUNT and TRACK elements; INTERLEAVE_INDEX is the place in the file, from 1; every element
/// is optional. Source: the format's public pages. FUNCTION takes EBU AudioChannelFunction terms (2019), as ACN0-FOA.
/// </remarks>
internal static class TrackList
{
    /// <summary>The name of each channel; null where the list has none.</summary>
    public static string?[] ReadNames(byte[]? chunk, int channelCount, out bool isDamaged)
    {
        var names = new string?[channelCount];
        isDamaged = false;
        if (chunk is null)
            return names;
        if (Parse(chunk) is not { } root)
        {
            isDamaged = true;
            return names;
        }
        foreach (var track in root.Descendants("TRACK"))
        {
            var index = Number(track, "INTERLEAVE_INDEX") ?? Number(track, "CHANNEL_INDEX");
            var name = track.Element("NAME")?.Value.Trim();
            if (index >= 1 && index <= channelCount && !string.IsNullOrEmpty(name))
                names[index.Value - 1] = name;
        }
        return names;
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
            using var reader = XmlReader.Create(new MemoryStream(chunk, 0, length),
                new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null });
            return XElement.Load(reader);
        }
        catch (XmlException)
        {
            return null;
        }
    }

    private static int? Number(XElement track, string element) =>
        int.TryParse(track.Element(element)?.Value, NumberStyles.Integer, CultureInfo.InvariantCulture, out var value) ? value : null;
}
