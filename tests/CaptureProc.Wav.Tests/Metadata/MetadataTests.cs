using System.Text;
using System.Text.Json;
using System.Xml.Linq;

namespace CaptureProc.Wav.Tests.Metadata;

/// <summary>What the recorder wrote about the take comes through: names, scene, time of day.</summary>
public sealed class MetadataTests : IDisposable
{
    // As a recorder writes it: tracks out of order, one without a name, zeros after the end.
    private const string RecorderXml = """
        <?xml version="1.0" encoding="UTF-8"?>
        <BWFXML><IXML_VERSION>1.61</IXML_VERSION><PROJECT>Evening in the old granary</PROJECT><SCENE>4</SCENE><TAKE>2</TAKE>
        <TRACK_LIST><TRACK_COUNT>3</TRACK_COUNT>
        <TRACK><CHANNEL_INDEX>7</CHANNEL_INDEX><INTERLEAVE_INDEX>2</INTERLEAVE_INDEX><NAME>Hörner</NAME></TRACK>
        <TRACK><CHANNEL_INDEX>5</CHANNEL_INDEX><INTERLEAVE_INDEX>1</INTERLEAVE_INDEX><NAME>Harp</NAME></TRACK>
        <TRACK><CHANNEL_INDEX>8</CHANNEL_INDEX><INTERLEAVE_INDEX>3</INTERLEAVE_INDEX><NAME/></TRACK>
        </TRACK_LIST></BWFXML>
        """ + "\0\0\0\0";

    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void NamesOfTheRecordersTrackListBelongToItsChannels()
    {
        using var input = WavInput.Open(WithIXml(RecorderXml), WithIXml(RecorderXml, "b.wav"));

        Assert.Equal(["Harp", "Hörner", null, "Harp", "Hörner", null], input.ChannelNames);
        Assert.Empty(input.Warnings);
    }

    [Theory]
    [InlineData(30_000)]
    [InlineData(300_000)]
    public void TracksInTracksByTheThousandCostNoTime(int depth)
    {
        // Their text taken out one by one costs the square of the depth: a file of 180 kB took a minute.
        var nested = string.Concat(Enumerable.Repeat("<TRACK><NAME>", depth)) + string.Concat(Enumerable.Repeat("</NAME></TRACK>", depth));
        var path = folder.File("nested.wav");
        File.WriteAllBytes(path, WavSamples.Riff("RIFF", ("fmt ", WavSamples.Fmt(), -1),
            ("iXML", System.Text.Encoding.ASCII.GetBytes($"<BWFXML><TRACK_LIST>{nested}</TRACK_LIST></BWFXML>"), -1), ("data", new byte[200], -1)));
        var before = System.Diagnostics.Process.GetCurrentProcess().TotalProcessorTime;

        using var input = WavInput.Open(path);

        Assert.InRange((System.Diagnostics.Process.GetCurrentProcess().TotalProcessorTime - before).TotalSeconds, 0, 10);
        Assert.Contains("its iXML cannot be read", Assert.Single(input.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void DamagedTrackListCostsTheNamesAndNothingElse()
    {
        using var input = WavInput.Open(WithIXml("<BWFXML><TRACK_LIST>"));

        Assert.Equal([null, null, null], input.ChannelNames);
        Assert.Contains("its iXML cannot be read", Assert.Single(input.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void WrittenFileCarriesNamesFunctionsAndTheRestOfTheSourcesXml()
    {
        using var source = WavFile.Open(WithIXml(RecorderXml));
        var path = WavSamples.Write(folder.File("out.wav"), WavSamples.Noise(2, 10, 1), new WavOutputFormat(48000, 2, SampleFormat.Pcm24)
        {
            ChannelNames = ["W", "Y"],
            ChannelFunctions = ["ACN0-FOA", "ACN1-FOA"],
            MetadataFrom = source,
        });

        using var written = WavFile.Open(path);
        var xml = XElement.Parse(Encoding.UTF8.GetString(written.IXml!));
        Assert.Equal(["W", "Y"], written.ChannelNames);
        Assert.Equal("Evening in the old granary", xml.Element("PROJECT")!.Value);
        Assert.Equal("2", xml.Element("TAKE")!.Value);
        Assert.Equal(["1", "2"], xml.Descendants("INTERLEAVE_INDEX").Select(e => e.Value));
        Assert.Equal(["ACN0-FOA", "ACN1-FOA"], xml.Descendants("FUNCTION").Select(e => e.Value));
        Assert.Single(xml.Elements("TRACK_LIST"));
    }

    [Fact]
    public void TimeOfDayComesFromBextAndIsCarriedAlong()
    {
        var (plain, source) = (folder.File("plain.wav"), folder.File("source.wav"));
        Tool.Run("sox", "-n", "-r", "48000", "-b", "24", plain, "synth", "0.1", "sine", "440");
        Tool.Run("ffmpeg", "-loglevel", "error", "-i", plain, "-c:a", "pcm_s24le", "-write_bext", "1",
            "-metadata", "description=slate 7", "-metadata", "time_reference=1728000123", source);

        using var read = WavFile.Open(source);
        Assert.Equal(1728000123, read.TimeReferenceFrames);
        var copy = WavSamples.Write(folder.File("copy.wav"), WavSamples.Noise(1, 100, 1),
            new WavOutputFormat(48000, 1, SampleFormat.Pcm24) { MetadataFrom = read });

        var tags = JsonDocument.Parse(Tool.Run("ffprobe", "-loglevel", "error", "-show_entries", "format_tags", "-of", "json", copy))
            .RootElement.GetProperty("format").GetProperty("tags");
        Assert.Equal("1728000123", tags.GetProperty("time_reference").GetString());
        Assert.Equal("slate 7", tags.GetProperty("comment").GetString());
    }

    [Fact]
    public void StampOfARecorderWithoutAClockIsTakenForNoneAndMentioned()
    {
        var bext = new byte[602];
        BitConverter.GetBytes(96000L).CopyTo(bext, 338);
        var a = Raw("a.wav", ("bext", new byte[602], -1));
        var b = Raw("b.wav", ("bext", bext, -1));

        using var input = WavInput.Open(a, b);

        Assert.Contains("a.wav: its time stamp is 0 and shares no moment with the others", Assert.Single(input.Faults), StringComparison.Ordinal);
    }

    private string WithIXml(string xml, string name = "a.wav") => Raw(name, ("iXML", Encoding.UTF8.GetBytes(xml), -1));

    private string Raw(string name, (string, byte[], long) chunk)
    {
        File.WriteAllBytes(folder.File(name), WavSamples.Riff("RIFF",
            chunk, ("fmt ", WavSamples.Fmt(channels: 3), -1), ("data", new byte[600], -1)));
        return folder.File(name);
    }
}
