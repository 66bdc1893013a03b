using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Measuring;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Tests.Measuring;

/// <summary>What becomes of a session when a slate has been measured.</summary>
public sealed class SessionSlateTests
{
    private static readonly SessionDocument Fresh = new()
    {
        SampleRate = 48000,
        Arrays = [Array("main", [1, 2, 3, 4])],
        Spots = [new SpotEntry { Id = "harp", Channels = [5] }, new SpotEntry { Id = "solo", Channels = [6, 7, 8, 9], ArrayId = "small" }],
    };

    [Fact]
    public void ChannelsCountFromNoughtAndTrimsBecomeFactors()
    {
        var session = Fresh with
        {
            Arrays =
            [
                Fresh.Arrays[0] with { TrimSets = [new TrimSet { Name = "pink", Db = [0, 6.0206, -6.0206, 20] }], ActiveTrim = "pink" },
                Array("small", [6, 7, 8, 9]),
            ],
        };
        var input = SessionSlate.Describe(session, null, null, []);
        Assert.Equal([0, 1, 2, 3], input.ArraySet.Channels);
        double[] factors = [1, 2, 0.5, 10];
        for (var i = 0; i < 4; i++)
            Assert.Equal(factors[i], input.ArraySet.Gains[i], 1e-5);
        Assert.Equal([4], input.Spots[0].Set.Channels);
        Assert.Null(input.Spots[0].Capsules);
        Assert.Equal(4, input.Spots[1].Capsules!.Capsules.Count);
        Assert.Equal([1.0, 1, 1, 1], SessionSlate.Describe(session, null, "none", []).ArraySet.Gains);
    }

    [Fact]
    public void AFourChannelSpotWithoutGeometryIsTakenAsTheMainArraysBuildAndSaidSo()
    {
        var warnings = new List<string>();
        var session = Fresh with { Spots = [new SpotEntry { Id = "solo", Channels = [6, 7, 8, 9] }] };
        Assert.NotNull(SessionSlate.Describe(session, null, null, warnings).Spots[0].Capsules);
        Assert.Contains("solo", Assert.Single(warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void ResultsAreEnteredInTheSessionsUnits()
    {
        var entered = SessionSlate.Enter(Fresh, Fresh.Arrays[0], [Measured("harp", 480.123456)], null, "click").Spots[0];
        Assert.Equal(480.1235, entered.Delay!.Samples);
        Assert.Equal(10.002572, entered.Delay.Ms);
        Assert.Equal("click", entered.Delay.Source);
        Assert.Equal(90, entered.Direction!.AzimuthDeg);
        Assert.Equal(-1, entered.Polarity);
    }

    [Fact]
    public void ASpotThatCannotBeMeasuredHasNoDelayAndANote()
    {
        var entered = SessionSlate.Enter(Fresh, Fresh.Arrays[0], [new SpotResult("harp") { Note = "no clap" }], null, "click").Spots[0];
        Assert.Null(entered.Delay);
        Assert.Equal("no clap", entered.Note);
    }

    [Fact]
    public void AnEarlierMeasurementIsKeptWhereTheRecordingSaysNothingAndSaidToBeKept()
    {
        var once = SessionSlate.Enter(Fresh, Fresh.Arrays[0], [Measured("harp", 480)], null, "click");
        var twice = SessionSlate.Enter(once, Fresh.Arrays[0], [new SpotResult("harp") { Note = "no clap" }], null, "click").Spots[0];
        Assert.Equal(480, twice.Delay!.Samples);
        Assert.Equal("kept from an earlier recording; in the last one: no clap", twice.Note);
    }

    [Fact]
    public void ALaterMeasurementReplacesAnEarlierOneWhole()
    {
        var once = SessionSlate.Enter(Fresh, Fresh.Arrays[0], [Measured("harp", 480) with { Note = "clipped" }], null, "click");
        var twice = SessionSlate.Enter(once, Fresh.Arrays[0], [Measured("harp", 500) with { Direction = null, DistanceM = null }], null, "shared click").Spots[0];
        Assert.Equal(500, twice.Delay!.Samples);
        Assert.Null(twice.Direction);
        Assert.Null(twice.DistanceM);
        Assert.Null(twice.Note);
    }

    [Fact]
    public void MeasuringAgainstAnotherArrayLeavesWhatIsKnownAgainstTheMainOne()
    {
        var two = Fresh with { Arrays = [Fresh.Arrays[0], Array("high", [10, 11, 12, 13])] };
        var main = SessionSlate.Enter(two, two.Arrays[0], [Measured("harp", 480)], [new Session.ClickEntry { TimeSeconds = 1 }], "click");
        var both = SessionSlate.Enter(main, two.Arrays[1], [Measured("harp", 900)], [new Session.ClickEntry { TimeSeconds = 2 }], "click");
        Assert.Equal(main.Spots[0].Delay, both.Spots[0].Delay);
        Assert.Equal(900, both.HeardBy(two.Arrays[1]).Spots[0].Delay!.Samples);
        Assert.Equal(1, Assert.Single(both.HeardBy(two.Arrays[0]).Clicks).TimeSeconds);
        Assert.Equal(2, Assert.Single(both.HeardBy(two.Arrays[1]).Clicks).TimeSeconds);
    }

    private static SpotResult Measured(string id, double samples) => new(id)
    {
        DelaySamples = samples, DelaySigma = 0.01, Confidence = 0.99, Polarity = -1, Direction = Vector3D.Left, DistanceM = 3, GainDb = -4,
    };

    private static ArrayEntry Array(string id, int[] channels) => new()
    {
        Id = id, Channels = channels, RadiusMm = 14.7, Pattern = 0.5,
        Capsules = [.. "FLU FRD BLD BRU".Split(' ').Select(label => CapsuleLabel.TryParse(label, out var capsule) ? capsule : throw new ArgumentException(label))],
    };
}
