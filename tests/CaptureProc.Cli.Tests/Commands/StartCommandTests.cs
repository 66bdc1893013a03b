using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class StartCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    private string Session => folder.File("concert.json");

    [Fact]
    public void SessionHoldsWhatTheOptionsSay()
    {
        var result = CommandLine.Run("start", Session, "--array", "main=4,3,2,1", "--spot", "harp=5", "--spot", "piano=6-7",
            "--preset", "tetra-25mm-subcardioid", "--order", "BRU,FLU,FRD,BLD", "--rate", "96000", "--temperature", "0", "--title", "Evening in the old granary");

        Assert.Equal((0, ""), (result.ExitCode, result.Error));
        Assert.Contains("BRU FLU FRD BLD, radius 25 mm, pattern 0.7", result.Out, StringComparison.Ordinal);
        var session = SessionStore.Read(Session);
        Assert.Equal(("Evening in the old granary", 96000), (session.Title, session.SampleRate));
        // ISO 9613-1, equation A.5, at 0 °C.
        Assert.Equal(331.286, session.Air.SpeedOfSound, 1e-3);
        var array = Assert.Single(session.Arrays);
        Assert.Equal([4, 3, 2, 1], array.Channels);
        Assert.Equal(["BRU", "FLU", "FRD", "BLD"], array.Capsules.Select(c => c.Label));
        Assert.Equal((25.0, 0.7), (array.RadiusMm, array.Pattern));
        Assert.Equal(["harp", "piano"], session.Spots.Select(s => s.Id));
        Assert.Equal([6, 7], session.Spots[1].Channels);
        Assert.Null(session.Spots[0].Delay);
    }

    [Fact]
    public void RadiusAndPatternGoBeforeThePreset()
    {
        CommandLine.Run("start", Session, "--array", "main=1-4", "--preset", "tetra-25mm-subcardioid", "--radius-mm", "12.5", "--pattern", "0.45");

        var array = SessionStore.Read(Session).MainArray();
        Assert.Equal((12.5, 0.45), (array.RadiusMm, array.Pattern));
    }

    [Fact]
    public void SpotWithFourChannelsBecomesACapsuleArrayOfItsOwn()
    {
        CommandLine.Run("start", Session, "--array", "main=1-4", "--spot", "organ=5-8", "--preset", "organ=tetra-10mm-cardioid", "--mount", "organ=90,0,180");

        var session = SessionStore.Read(Session);
        Assert.Equal("main", session.MainArray().Id);
        var organ = session.ArrayOf(session.FindSpot("organ"), out var isAssumed)!;
        Assert.False(isAssumed);
        Assert.Equal(("organ", 10.0, 90.0, 180.0), (organ.Id, organ.RadiusMm, organ.Mount.YawDeg, organ.Mount.RollDeg));
        Assert.Equal(15, session.MainArray().RadiusMm);
    }

    [Fact]
    public void ArrayGivenForASpotBelongsToIt()
    {
        CommandLine.Run("start", Session, "--array", "north=5-8", "--array", "main=1-4", "--spot", "organ=5-8");

        var session = SessionStore.Read(Session);
        Assert.Equal("north", session.FindSpot("organ").ArrayId);
        Assert.Equal("main", session.MainArray().Id);
    }

    [Fact]
    public void JsonCarriesTheWholeSession()
    {
        var result = CommandLine.Run("start", Session, "--array", "main=1-4", "--json");

        Assert.Equal(Session, (string?)result.Json["file"]);
        Assert.Equal("captureproc-session", (string?)result.Json["session"]!["format"]);
    }

    [Fact]
    public void RecordingGivesRateArrayCapsulesAndSpots()
    {
        var take = Recording(88200, "Main FRD", "Main FLU", "Main BLD", "Main BRU", "Harp", null, "Horn/1", "Harp");

        var result = CommandLine.Run("start", Session, "--from", take);

        Assert.Equal(0, result.ExitCode);
        Assert.Contains("channels 1 2 3 4", result.Error, StringComparison.Ordinal);
        var session = SessionStore.Read(Session);
        Assert.Equal(88200, session.SampleRate);
        Assert.Equal(["FRD", "FLU", "BLD", "BRU"], session.MainArray().Capsules.Select(c => c.Label));
        Assert.Equal([("Harp", 5), ("Horn-1", 7), ("Harp 8", 8)], session.Spots.Select(s => (s.Id, s.Channels[0])));
    }

    [Fact]
    public void TracksCanBeNamedInsteadOfCounted()
    {
        var take = Recording(48000, "Harp", "a", "b", "c", "d");

        CommandLine.Run("start", Session, "--from", take, "--array", "main=a,b,c,d", "--spot", "harp=Harp");

        var session = SessionStore.Read(Session);
        Assert.Equal([2, 3, 4, 5], session.MainArray().Channels);
        Assert.Equal([1], session.FindSpot("harp").Channels);
    }

    [Fact]
    public void ExistingSessionIsReplacedOnlyOnRequest()
    {
        CommandLine.Run("start", Session, "--array", "main=1-4");

        CommandLine.Refuses("exists already", "start", Session, "--array", "main=5-8");
        Assert.Equal([1, 2, 3, 4], SessionStore.Read(Session).MainArray().Channels);
        Assert.Equal(0, CommandLine.Run("start", Session, "--array", "main=5-8", "--replace").ExitCode);
        Assert.Equal([5, 6, 7, 8], SessionStore.Read(Session).MainArray().Channels);
    }

    [Theory]
    [InlineData("no array is given", "--spot", "harp=5")]
    [InlineData("has 3 channels", "--array", "main=1-3")]
    [InlineData("names a channel twice", "--array", "main=1,2,3,3")]
    [InlineData("write --array ID=CHANNELS", "--array", "1-4")]
    [InlineData("there is no preset 'round'", "--array", "main=1-4", "--preset", "round")]
    [InlineData("'top' is no capsule", "--array", "main=1-4", "--order", "FLU,FRD,BLD,top")]
    [InlineData("has to name 4 different capsules", "--array", "main=1-4", "--order", "FLU,FRD,FLU,BRU")]
    [InlineData("in one plane", "--array", "main=1-4", "--order", "FLU,FRU,BLU,BRU")]
    [InlineData("--radius-mm is '0'", "--array", "main=1-4", "--radius-mm", "0")]
    [InlineData("--pattern is '1.5'", "--array", "main=1-4", "--pattern", "1.5")]
    [InlineData("--temperature is 'hot'", "--array", "main=1-4", "--temperature", "hot")]
    [InlineData("--rate is '0'", "--array", "main=1-4", "--rate", "0")]
    [InlineData("whole number", "--array", "main=1-4", "--rate", "44100.5")]
    [InlineData("share channel 4", "--array", "main=1-4", "--spot", "harp=4")]
    [InlineData("there is no array 'north'", "--array", "main=1-4", "--preset", "north=tetra-10mm-cardioid")]
    [InlineData("three angles", "--array", "main=1-4", "--mount", "0,180")]
    [InlineData("different from the ids before it", "--array", "main=1-4", "--spot", "harp=5", "--spot", "Harp=6")]
    [InlineData("spots[0].id", "--array", "main=1-4", "--spot", "../harp=5")]
    [InlineData("there is no such file", "--array", "main=1-4", "--from", "none.wav")]
    public void WhatMakesNoSessionIsRefusedAndNothingIsWritten(string said, params string[] options)
    {
        CommandLine.Refuses(said, ["start", Session, .. options]);

        Assert.False(File.Exists(Session));
    }

    [Fact]
    public void ChannelBeyondTheRecordingIsRefused() =>
        CommandLine.Refuses("on channel 6, but the recording has 5", "start", Session, "--from", Recording(48000, "a", "b", "c", "d", "e"), "--array", "main=1-4", "--spot", "harp=6");

    [Fact]
    public void RateAgainstTheRecordingIsRefused() =>
        CommandLine.Refuses("leave --rate out", "start", Session, "--from", Recording(48000, "a", "b", "c", "d"), "--array", "main=1-4", "--rate", "96000");

    private string Recording(int rate, params string?[] names)
    {
        var path = folder.File("take.wav");
        using var output = WavOutput.Create(path, new WavOutputFormat(rate, names.Length, SampleFormat.Pcm24) { ChannelNames = names }, replace: true);
        output.Write([.. names.Select(_ => new float[100])], 0, 100);
        output.Complete();
        return path;
    }
}
