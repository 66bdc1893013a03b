using System.Buffers.Binary;
using System.Text;
using System.Xml.Linq;
using CaptureProc.Wav.Adm;

namespace CaptureProc.Wav.Tests.Adm;

public class AdmTests
{
    // ITU-R BS.2094, common definitions for HOA, SN3D in ACN order, as carried by the EBU ADM Renderer.
    [Theory]
    [InlineData(0, "AC_00040001", "AT_00040001_01")]
    [InlineData(3, "AC_00040004", "AT_00040004_01")]
    [InlineData(4, "AC_00040005", "AT_00040005_01")]
    [InlineData(8, "AC_00040009", "AT_00040009_01")]
    [InlineData(9, "AC_0004000a", "AT_0004000a_01")]
    [InlineData(15, "AC_00040010", "AT_00040010_01")]
    public void ChannelAndTrackNamesAreThoseOfTheCommonDefinitions(int acn, string channel, string track)
    {
        Assert.Equal(channel, AdmIds.Channel(acn));
        Assert.Equal(track, AdmIds.Track(acn));
    }

    [Theory]
    [InlineData(1, "AP_00040001", "3D_order1_SN3D_ACN")]
    [InlineData(2, "AP_00040002", "3D_order2_SN3D_ACN")]
    [InlineData(3, "AP_00040003", "3D_order3_SN3D_ACN")]
    public void PackNamesAreThoseOfTheCommonDefinitions(int order, string pack, string name)
    {
        Assert.Equal(pack, AdmIds.Pack(order));
        Assert.Equal(name, AdmIds.PackName(order));
    }

    // Sizes by the layout of ITU-R BS.2088: 4 + 40·channels.
    [Theory]
    [InlineData(1, 164)]
    [InlineData(2, 364)]
    [InlineData(3, 644)]
    public void AllocationHasOneRowForEachChannel(int order, int bytes)
    {
        var chunk = ChannelAllocation.ForField(order);
        var channels = (order + 1) * (order + 1);
        Assert.Equal(bytes, chunk.Length);
        Assert.Equal(channels, BinaryPrimitives.ReadUInt16LittleEndian(chunk));
        Assert.Equal(channels, BinaryPrimitives.ReadUInt16LittleEndian(chunk.AsSpan(2)));
        for (var acn = 0; acn < channels; acn++)
        {
            var row = chunk.AsSpan(4 + 40 * acn, 40);
            Assert.Equal(acn + 1, BinaryPrimitives.ReadUInt16LittleEndian(row));
            Assert.Equal($"ATU_{acn + 1:x8}AT_0004{acn + 1:x4}_01AP_0004000{order}\0", Encoding.ASCII.GetString(row[2..]));
        }
    }

    [Fact]
    public void DocumentPointsFromProgrammeDownToEveryTrack()
    {
        var chunk = new AdmDocument("An evening & more", 2, 48_000, 24)
        {
            Loudness = new AdmLoudness("pair downmix", -23.004, 8.1, -3.25, -18.5, double.NegativeInfinity),
        }.ToChunk();
        var root = XDocument.Parse(Encoding.UTF8.GetString(chunk)).Root!;
        XNamespace ns = "urn:ebu:metadata-schema:ebuCore_2017";
        XElement Only(string name) => Assert.Single(root.Descendants(ns + name));

        Assert.Equal("An evening & more", Only("audioProgramme").Attribute("audioProgrammeName")!.Value);
        Assert.Equal(Only("audioContent").Attribute("audioContentID")!.Value, Only("audioContentIDRef").Value);
        Assert.Equal(Only("audioObject").Attribute("audioObjectID")!.Value, Only("audioObjectIDRef").Value);
        var referenced = Only("audioObject").Elements(ns + "audioTrackUIDRef").Select(e => e.Value).ToArray();
        var tracks = root.Descendants(ns + "audioTrackUID").ToArray();
        Assert.Equal(9, tracks.Length);
        Assert.Equal(referenced, tracks.Select(t => t.Attribute("UID")!.Value));
        Assert.All(tracks, t => Assert.Equal("AP_00040002", t.Element(ns + "audioPackFormatIDRef")!.Value));
        Assert.Equal("AT_00040009_01", tracks[8].Element(ns + "audioTrackFormatIDRef")!.Value);
        Assert.Equal("-23.00", Only("integratedLoudness").Value);
        Assert.Equal("-3.25", Only("maxTruePeak").Value);
        Assert.Empty(root.Descendants(ns + "maxShortTerm"));
    }
}
