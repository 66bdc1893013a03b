using System.Text;
using System.Text.Json.Nodes;

namespace CaptureProc.Session.Tests.Json;

public class SessionTextTests
{
    [Fact]
    public void ContractExampleIsReadMemberByMember()
    {
        var session = Samples.Parse(Samples.ContractExample);

        Assert.Equal("Evening in the old granary", session.Title);
        Assert.Equal(new DateTimeOffset(2026, 5, 3, 10, 12, 0, TimeSpan.Zero), session.Created);
        Assert.Equal(48000, session.SampleRate);
        Assert.Equal(343.2, session.Air.SpeedOfSound);
        var array = Assert.Single(session.Arrays);
        Assert.Equal([1, 2, 3, 4], array.Channels);
        Assert.Equal(["FLU", "FRD", "BLD", "BRU"], array.Capsules.Select(c => c.Label));
        Assert.Equal(-135.0, array.Capsules[3].AzimuthDeg);
        Assert.Equal((14.7, 0.5, "line-up"), (array.RadiusMm, array.Pattern, array.ActiveTrim));
        Assert.Equal([0.0, 0.12, -0.05, 0.03], array.TrimDb());
        var spot = Assert.Single(session.Spots);
        Assert.Equal((812.37, 16.924, 0.04, 0.99, "click"), (spot.Delay!.Samples, spot.Delay.Ms,
            spot.Delay.UncertaintySamples, spot.Delay.Confidence, spot.Delay.Source));
        Assert.Equal((1, 31.2, -4.0, 1.5, 3.1, -2.3), (spot.Polarity, spot.Direction!.AzimuthDeg, spot.Direction.ElevationDeg,
            spot.Direction.UncertaintyDeg, spot.DistanceM, spot.GainDb));
        Assert.Equal((12.402, "harp", 41.0, 4.1), (session.Clicks[0].TimeSeconds, session.Clicks[0].Spot,
            session.Clicks[0].SnrDb, session.Clicks[0].DirectToReverberantDb));
        Assert.Equal("slate.wav", session.History[0].Inputs[0].File);
    }

    [Fact]
    public void ReadingAndWritingTheContractExampleChangesNoMember()
    {
        var written = SessionText.Format(Samples.Parse(Samples.ContractExample));

        Assert.True(JsonNode.DeepEquals(JsonNode.Parse(Samples.ContractExample), JsonNode.Parse(written)));
    }

    [Fact]
    public void UnknownMembersSurviveAtEveryLevel()
    {
        var tree = JsonNode.Parse(Samples.ContractExample)!;
        foreach (var node in Objects(tree).ToList())
            node["fromTomorrow"] = JsonNode.Parse("""{ "list": [1, { "deep": null }], "text": "ü" }""");

        var written = JsonNode.Parse(SessionText.Format(Samples.Parse(tree.ToJsonString())));

        Assert.True(JsonNode.DeepEquals(tree, written));
    }

    [Fact]
    public void UnmeasuredSpotIsWrittenWithNullDelayAndItsNote()
    {
        var session = Samples.Full() with { Spots = [new SpotEntry { Id = "harp", Channels = [5], Note = "no click was heard" }] };

        var spot = JsonNode.Parse(SessionText.Format(session))!["spots"]![0]!.AsObject();

        Assert.True(spot.ContainsKey("delay"));
        Assert.Null(spot["delay"]);
        Assert.Equal("no click was heard", (string?)spot["note"]);
    }

    [Fact]
    public void TextIsIndentedUtf8WithReadableLettersAndUtcTimes()
    {
        var text = Encoding.UTF8.GetString(SessionText.Format(Samples.Full() with { Title = "Bläser & Chor" }));

        Assert.Contains("\n  \"title\": \"Bläser & Chor\",\n", text, StringComparison.Ordinal);
        Assert.Contains("\"created\": \"2026-05-03T10:12:00Z\"", text, StringComparison.Ordinal);
    }

    [Fact]
    public void ByteOrderMarkIsNoDamage()
    {
        byte[] marked = [0xEF, 0xBB, 0xBF, .. Encoding.UTF8.GetBytes(Samples.ContractExample)];

        Assert.Equal(48000, SessionText.Parse(marked, "concert.json").SampleRate);
    }

    private static IEnumerable<JsonObject> Objects(JsonNode? node) => node switch
    {
        JsonObject o => o.SelectMany(member => Objects(member.Value)).Append(o),
        JsonArray a => a.SelectMany(Objects),
        _ => [],
    };
}
