using System.Text.Json.Nodes;

namespace CaptureProc.Session.Tests.Model;

/// <summary>Delays belong to the array against which they were measured.</summary>
public sealed class ArrayInUseTests
{
    private static readonly SessionDocument Two = WithSecondArray(Samples.Parse(Samples.ContractExample));

    private static ArrayEntry High => Two.FindArray("high");

    [Fact]
    public void WhatIsKeptForAnArrayIsWhatItHearsAndTheMainArrayKeepsItsOwn()
    {
        var changed = Two.WithHeardBy(High, Heard(480.5));

        Assert.Equal(812.37, changed.FindSpot("harp").Delay!.Samples);
        Assert.Equal(31.2, changed.FindSpot("harp").Direction!.AzimuthDeg);
        Assert.Equal(480.5, Assert.Single(changed.FindSpot("harp").Delays!).Samples);
        var heard = changed.HeardBy(High).FindSpot("harp");
        Assert.Equal((480.5, -1, -12.0, 1.5, "click"), (heard.Delay!.Samples, heard.Polarity, heard.GainDb, heard.DistanceM, heard.Delay.Source));
        Assert.Equal(changed.FindSpot("harp"), changed.HeardBy(changed.MainArray()).FindSpot("harp"));
    }

    [Fact]
    public void MeasuringTheMainArrayAgainLeavesTheOthers()
    {
        var changed = Two.WithHeardBy(High, Heard(480.5));
        changed = changed.WithHeardBy(Two.MainArray(), Heard(700));

        Assert.Equal(700, changed.FindSpot("harp").Delay!.Samples);
        Assert.Equal(480.5, changed.HeardBy(High).FindSpot("harp").Delay!.Samples);
    }

    [Fact]
    public void ASpotThatAnArrayHasNotMeasuredHasNoDelayThere()
    {
        var heard = Two.HeardBy(High).FindSpot("harp");

        Assert.Equal((null, null, null, null, null), (heard.Delay, heard.Polarity, heard.Direction, heard.DistanceM, heard.GainDb));
        Assert.Contains("'high'", heard.Note, StringComparison.Ordinal);
    }

    [Fact]
    public void EveryArrayHasItsOwnClicks()
    {
        var changed = Two.WithClicksOf(High, [new ClickEntry { TimeSeconds = 3 }]);

        Assert.Equal(2, changed.Clicks.Count);
        Assert.Equal(12.402, Assert.Single(changed.HeardBy(changed.MainArray()).Clicks).TimeSeconds);
        Assert.Equal(3, Assert.Single(changed.HeardBy(High).Clicks).TimeSeconds);
        Assert.Equal([3, 5], changed.WithClicksOf(changed.MainArray(), [new ClickEntry { TimeSeconds = 5 }]).Clicks.Select(c => c.TimeSeconds));
    }

    [Fact]
    public void DelaysOfSeveralArraysAreWrittenAsTheContractSays()
    {
        var changed = Two.WithHeardBy(High, Heard(480.5));
        var text = SessionText.Format(changed);
        var delays = JsonNode.Parse(text)!["spots"]![0]!["delays"]!.AsArray();

        Assert.Equal(("high", 480.5, 10.0104, 0.99), ((string?)delays[0]!["array"], (double)delays[0]!["samples"]!, (double)delays[0]!["ms"]!, (double)delays[0]!["confidence"]!));
        Assert.Equal(text, SessionText.Format(SessionText.Parse(text, "concert.json")));
    }

    [Fact]
    public void ASessionOfOneArrayGetsNoNewMembers() =>
        Assert.True(JsonNode.DeepEquals(JsonNode.Parse(Samples.ContractExample), JsonNode.Parse(SessionText.Format(Samples.Parse(Samples.ContractExample)))));

    [Theory]
    [InlineData("""{ "array": "low", "samples": 1 }""", "delays[0].array")]
    [InlineData("""{ "array": "high", "samples": 1, "confidence": 2 }""", "delays[0].confidence")]
    [InlineData("""{ "array": "high", "samples": 1 }, { "array": "High", "samples": 2 }""", "delays[1].array")]
    public void DelaysOfUnknownArraysOrOutOfRangeAreRefusedByName(string delays, string member)
    {
        var tree = JsonNode.Parse(SessionText.Format(Two))!;
        tree["spots"]![0]!["delays"] = JsonNode.Parse($"[ {delays} ]");

        Assert.Contains(member, Samples.Refusal(() => Samples.Parse(tree.ToJsonString())).Message, StringComparison.Ordinal);
    }

    private static SpotEntry Heard(double samples) => Two.FindSpot("harp") with
    {
        Delay = new SpotDelay { Samples = samples, Ms = Math.Round(samples / 48, 4), UncertaintySamples = 0.05, Confidence = 0.99, Source = "click" },
        Polarity = -1, GainDb = -12, DistanceM = 1.5, Direction = null,
    };

    private static SessionDocument WithSecondArray(SessionDocument session) => session with
    {
        Arrays = [session.Arrays[0], session.Arrays[0] with { Id = "high", Channels = [11, 12, 13, 14] }],
    };
}
