using System.Globalization;
using System.Text;
using System.Xml;
using System.Xml.Linq;

namespace CaptureProc.Wav.Adm;

/// <summary>What a programme is, in the words of the Audio Definition Model: the <c>axml</c> chunk.</summary>
/// <param name="Title">Name of the programme.</param>
/// <param name="Order">Order of the sound field, 1 to 3.</param>
/// <param name="SampleRateHz">Of the file.</param>
/// <param name="BitDepth">Of the file; 32 for float.</param>
/// <remarks>
/// One programme, one content, one object, one field; pack, channels and tracks are those of the common definitions and are not
/// repeated. Own ids start at 1001, as the standard reserves the numbers below.
/// Source: ITU-R BS.2076; order of elements and enclosing elements as in the EBU ADM Renderer.
/// </remarks>
public sealed record AdmDocument(string Title, int Order, int SampleRateHz, int BitDepth)
{
    private static readonly XNamespace EbuCore = "urn:ebu:metadata-schema:ebuCore_2017";

    /// <summary>How loud the programme is, and how that was found; null to leave it out.</summary>
    public AdmLoudness? Loudness { get; init; }

    public byte[] ToChunk()
    {
        var document = new XDocument(new XElement(EbuCore + "ebuCoreMain", new XElement(EbuCore + "coreMetadata", new XElement(EbuCore + "format", Model()))));
        using var stream = new MemoryStream();
        using (var writer = XmlWriter.Create(stream, new XmlWriterSettings { Encoding = new UTF8Encoding(false), Indent = true, NewLineChars = "\n" }))
            document.Save(writer);
        return stream.ToArray();
    }

    private XElement Model()
    {
        var tracks = Enumerable.Range(0, (Order + 1) * (Order + 1)).ToArray();
        var pack = Reference("audioPackFormatIDRef", AdmIds.Pack(Order));
        return Element("audioFormatExtended",
            Element("audioProgramme", new XAttribute("audioProgrammeID", "APR_1001"), new XAttribute("audioProgrammeName", Title),
                Reference("audioContentIDRef", "ACO_1001")),
            Element("audioContent", new XAttribute("audioContentID", "ACO_1001"), new XAttribute("audioContentName", Title),
                Reference("audioObjectIDRef", "AO_1001"),
                Loudness is { } loudness ? LoudnessMetadata(loudness) : null),
            Element("audioObject", new XAttribute("audioObjectID", "AO_1001"), new XAttribute("audioObjectName", Title), new XAttribute("start", "00:00:00.00000"),
                pack, tracks.Select(acn => Reference("audioTrackUIDRef", AdmIds.TrackUid(acn + 1)))),
            tracks.Select(acn => Element("audioTrackUID",
                new XAttribute("UID", AdmIds.TrackUid(acn + 1)), new XAttribute("sampleRate", SampleRateHz), new XAttribute("bitDepth", BitDepth),
                Reference("audioTrackFormatIDRef", AdmIds.Track(acn)), pack)));
    }

    private static XElement LoudnessMetadata(AdmLoudness loudness) => Element("loudnessMetadata",
        new XAttribute("loudnessMethod", "ITU-R BS.1770"), new XAttribute("loudnessRecType", loudness.Rendering),
        Figure("integratedLoudness", loudness.IntegratedLufs),
        Figure("loudnessRange", loudness.RangeLu),
        Figure("maxTruePeak", loudness.TruePeakDbtp),
        Figure("maxMomentary", loudness.MaxMomentaryLufs),
        Figure("maxShortTerm", loudness.MaxShortTermLufs));

    private static XElement Element(string name, params object?[] content) => new(EbuCore + name, content);

    private static XElement Reference(string name, string id) => new(EbuCore + name, id);

    // A programme too short for a reading has none; the element is then left out.
    private static XElement? Figure(string name, double value) =>
        double.IsFinite(value) ? new XElement(EbuCore + name, value.ToString("0.00", CultureInfo.InvariantCulture)) : null;
}

/// <summary>The loudness of a stated rendering, for the file's metadata.</summary>
/// <param name="Rendering">What was measured, in words: a sound field itself has no loudness in the standard.</param>
public readonly record struct AdmLoudness(
    string Rendering, double IntegratedLufs, double RangeLu, double TruePeakDbtp, double MaxMomentaryLufs, double MaxShortTermLufs);
