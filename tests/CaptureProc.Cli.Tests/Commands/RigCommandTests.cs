using CaptureProc.Session;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary>A rig is changed without losing what stays true, and every change can be taken back.</summary>
public sealed class RigCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public RigCommandTests()
    {
        CommandLine.Run("start", Session, "--array", "main=1-4", "--array", "north=9-12", "--spot", "harp=5", "--spot", "bells=6");
        SessionStore.Update(Session, s => s with
        {
            Arrays = [s.Arrays[0] with
            {
                TrimSets = [Trims("line-up", LineUpTrims.FromPinkNoise), Trims("room", "diffuse field")], ActiveTrim = "line-up", Patch = new PatchCheck { Ok = true },
            }, s.Arrays[1]],
            Spots = [.. s.Spots.Select((spot, i) => spot with
            {
                Delay = new SpotDelay { Samples = 100 + i, Ms = 2, Confidence = 0.99 }, Polarity = 1, Direction = new SpotDirection { AzimuthDeg = 30 }, DistanceM = 3, GainDb = -2,
                Delays = [new ArrayDelay { Array = "north", Samples = 200 + i, Confidence = 0.99, Polarity = 1, Direction = new SpotDirection { AzimuthDeg = -60 } }],
            })],
            Clicks = [new ClickEntry { TimeSeconds = 1, Spot = "harp" }, new ClickEntry { TimeSeconds = 2, Spot = "bells" }],
            Room = new RoomEntry { ReverberationSeconds = 1.2 },
        });
    }

    public void Dispose() => folder.Dispose();

    private string Session => folder.File("concert.json");

    [Fact]
    public void AddingTakesNothingAway()
    {
        var before = SessionStore.Read(Session);

        var session = Rig("--spot", "flute=7", "--spot", "organ=13-16");

        Assert.Equal(["harp", "bells", "flute", "organ"], session.Spots.Select(s => s.Id));
        Assert.Equal("organ", session.Spots[3].ArrayId);
        Assert.Equal(before.Spots.Select(s => s.Delay), session.Spots.Take(2).Select(s => s.Delay));
        Assert.Equal("main", session.MainArray().Id);
        Assert.NotNull(session.MainArray().Patch);
    }

    [Fact]
    public void OtherChannelOfASpotDropsWhatWasMeasuredOnTheFormerAndNamesIt()
    {
        var session = Rig(["what was measured of spot 'harp', and its clap"], "--spot", "harp=8");

        Assert.Equal((8, null, null, null), (session.Spots[0].Channels[0], session.Spots[0].Delay, session.Spots[0].Delays, session.Spots[0].GainDb));
        Assert.NotNull(session.Spots[1].Delay);
        Assert.Equal("bells", Assert.Single(session.Clicks).Spot);
        Assert.NotNull(session.Room);
    }

    [Fact]
    public void TurningAnArrayDropsDirectionsAloneAndThoseOfNoOtherArray()
    {
        var session = Rig(["the patch check of array 'main'", "the directions of harp, bells as array 'main' heard them"], "--mount", "0,0,180");

        Assert.Equal(180, session.MainArray().Mount.RollDeg);
        Assert.All(session.Spots, s => Assert.Null(s.Direction));
        Assert.All(session.Spots, s => Assert.NotNull(s.Delay));
        Assert.All(session.Spots, s => Assert.NotNull(s.Delays![0].Direction));
        Assert.Equal("line-up", session.MainArray().ActiveTrim);
    }

    [Fact]
    public void OtherGeometryKeepsTheTrimsOfTheChannelsAndDropsWhatItHeard()
    {
        var session = Rig(["trims 'room' of array 'main'", "the decay of the room", "what array 'main' heard of harp, bells"], "--preset", "tetra-25mm-subcardioid");

        Assert.Equal(25, session.MainArray().RadiusMm);
        Assert.Equal("line-up", Assert.Single(session.MainArray().TrimSets).Name);
        Assert.NotNull(session.MainArray().Patch);
        Assert.All(session.Spots, s => Assert.Null(s.Delay));
        Assert.All(session.Spots, s => Assert.Equal("north", Assert.Single(s.Delays!).Array));
    }

    [Fact]
    public void OtherChannelsOfAnArrayDropAllThatWasHeardThroughThem()
    {
        var session = Rig("--array", "main=17-20");

        Assert.Equal([17, 18, 19, 20], session.MainArray().Channels);
        Assert.Empty(session.MainArray().TrimSets);
        Assert.Null(session.MainArray().ActiveTrim);
        Assert.All(session.Spots, s => Assert.Null(s.Delay));
    }

    [Fact]
    public void NewNamesAreFollowedEverywhere()
    {
        var session = Rig([], "--rename", "harp=harp left", "--rename", "north=far");

        Assert.Equal(["harp left", "bells"], session.Clicks.Select(c => c.Spot));
        Assert.Equal(["main", "far"], session.Arrays.Select(a => a.Id));
        Assert.All(session.Spots, s => Assert.Equal("far", Assert.Single(s.Delays!).Array));
    }

    [Fact]
    public void WithoutTheMainArrayTheNextOneTakesItsPlaceWithWhatItHeard()
    {
        var session = Rig("--remove", "main");

        Assert.Equal("north", session.MainArray().Id);
        Assert.Equal([200.0, 201.0], session.Spots.Select(s => s.Delay!.Samples));
        Assert.All(session.Spots, s => Assert.Null(s.Delays));
        Assert.All(session.Spots, s => Assert.Equal(-60, s.Direction!.AzimuthDeg));
    }

    [Fact]
    public void OtherChannelOfASpotTakesItFromTheStageAndLeavesTheOthersThere()
    {
        Stage();

        var stage = Rig(["what was measured of spot 'harp', and its clap", "the place of spot 'harp' on the stage, whom it hears and who hears its player"], "--spot", "harp=8").Stage!;

        Assert.Equal("bells", Assert.Single(stage.Spots).Id);
        Assert.Equal("bells", Assert.Single(stage.Claps).Spot);
        Assert.Equal(["bells", "north"], stage.Closures.Select(c => c.Microphone));
        Assert.Equal(("bells", "main"), Assert.Single(stage.Bleed.Select(b => (b.Player, b.Microphone))));
        Assert.Equal(["array 'north' hangs head down"], stage.Concerns);
        Assert.Equal("north", Assert.Single(stage.Arrays).Id);
    }

    [Fact]
    public void TurningTheArrayAtTheOriginDropsPlacesAndKeepsWhoIsHeardWhere()
    {
        Stage();

        var stage = Rig(["the patch check of array 'main'", "the directions of harp, bells as array 'main' heard them", "the places on the stage"], "--mount", "0,0,180").Stage!;

        Assert.Empty(stage.Spots);
        Assert.Equal(3, stage.Bleed.Count);
    }

    [Fact]
    public void TurningAFurtherArrayDropsItsPlaceAlone()
    {
        Stage();

        var stage = Rig(["the directions of harp, bells as array 'north' heard them", "the place of array 'north' on the stage"], "--mount", "north=0,0,180").Stage!;

        Assert.Empty(stage.Arrays);
        Assert.Equal(2, stage.Spots.Count);
        Assert.Equal(4, stage.Closures.Count);
        Assert.Equal(["'harp' stands 1.0 m from its place in the earlier slate", "the clap at 1.000 s (harp) reaches 'main' late"], stage.Concerns);
    }

    [Fact]
    public void FurtherArrayThatGoesLeavesTheStageOfTheOthers()
    {
        Stage();

        var stage = Rig(["the place of array 'north' on the stage, and whom it hears", "what array 'north' heard of harp, bells"], "--remove", "north").Stage!;

        Assert.Empty(stage.Arrays);
        Assert.Equal(["bells", "harp", "bells"], stage.Closures.Select(c => c.Microphone));
        Assert.Equal(2, stage.Spots.Count);
    }

    [Theory]
    [InlineData("--remove", "main")]
    [InlineData("--array", "main=17-20")]
    [InlineData("--preset", "main=tetra-25mm-subcardioid")]
    public void WithoutWhatTheArrayAtTheOriginHeardThereIsNoStage(params string[] options)
    {
        Stage();

        var result = CommandLine.Run(["rig", Session, .. options]);

        Assert.Contains("Dropped: the places on the stage, and who is heard where.", result.Out, StringComparison.Ordinal);
        Assert.Null(SessionStore.Read(Session).Stage);
        Assert.Equal(0, CommandLine.Run("rig", Session, "--undo").ExitCode);
        Assert.Equal(2, SessionStore.Read(Session).Stage!.Spots.Count);
    }

    [Fact]
    public void NewNamesAreFollowedOnTheStage()
    {
        Stage();

        var stage = Rig([], "--rename", "harp=harp left", "--rename", "north=far", "--rename", "main=middle").Stage!;

        Assert.Equal("middle", stage.Array);
        Assert.Equal(["harp left", "bells"], stage.Spots.Select(s => s.Id));
        Assert.Equal(["harp left", "bells"], stage.Claps.Select(c => c.Spot));
        Assert.Equal("far", Assert.Single(stage.Arrays).Id);
        Assert.Equal(["bells", "harp left", "bells", "far"], stage.Closures.Select(c => c.Microphone));
        Assert.Equal([("bells", "harp left"), ("harp left", "bells"), ("bells", "middle")], stage.Bleed.Select(b => (b.Player, b.Microphone)));
        Assert.Equal(["'harp left' stands 1.0 m from its place in the earlier slate", "array 'far' hangs head down", "the clap at 1.000 s (harp left) reaches 'middle' late"], stage.Concerns);
    }

    [Fact]
    public void OtherBuildOfATetrahedralSpotDropsItsDelayAndAnotherOrderOfItsChannelsDoesNot()
    {
        Rig("--spot", "organ=13-16");
        SessionStore.Update(Session, s => s with { Spots = [.. s.Spots.Select(p => p.Id == "organ" ? p with { Delay = new SpotDelay { Samples = 90, Confidence = 0.99 } } : p)] });

        Assert.NotNull(Rig("--order", "organ=FRD,FLU,BLD,BRU").FindSpot("organ").Delay);
        Assert.Null(Rig(["what was measured of spot 'organ'"], "--radius-mm", "organ=25").FindSpot("organ").Delay);
    }

    /// <summary>Places, closures and bleed beside what the session holds already.</summary>
    private void Stage()
    {
        double[] place = [1, 2, -1], covariance = [0.01, 0, 0, 0.01, 0, 0.01];
        SessionStore.Update(Session, s => s with
        {
            Stage = new StageEntry
            {
                Array = "main", SpeedOfSound = 343.2, FloorM = -2,
                Spots = [new StageSpot { Id = "harp", PositionM = place, CovarianceM2 = covariance }, new StageSpot { Id = "bells", PositionM = place, CovarianceM2 = covariance }],
                Claps = [new StageClapEntry { TimeSeconds = 1, Spot = "harp", PositionM = place, CovarianceM2 = covariance }, new StageClapEntry { TimeSeconds = 2, Spot = "bells", PositionM = place, CovarianceM2 = covariance }],
                Arrays = [new StageArrayEntry { Id = "north", PositionM = place, CovarianceM2 = covariance, Note = "hangs head down" }],
                Closures =
                [
                    new StageClosure { TimeSeconds = 1, Microphone = "bells", Used = true }, new StageClosure { TimeSeconds = 2, Microphone = "harp", Used = true },
                    new StageClosure { TimeSeconds = 2, Microphone = "bells", Used = true }, new StageClosure { TimeSeconds = 2, Microphone = "north", Used = true },
                ],
                Bleed = [new StageBleed { Player = "bells", Microphone = "harp" }, new StageBleed { Player = "harp", Microphone = "bells" }, new StageBleed { Player = "bells", Microphone = "main" }],
                Concerns = ["'harp' stands 1.0 m from its place in the earlier slate", "array 'north' hangs head down", "the clap at 1.000 s (harp) reaches 'main' late"],
            },
        });
    }

    [Theory]
    [InlineData("share channel 5", "--spot", "flute=5")]
    [InlineData("no array and no spot 'tuba'", "--remove", "tuba")]
    [InlineData("has to be a name", "--rename", "harp=a/b")]
    [InlineData("is the only one of the session", "--remove", "north", "--remove", "main")]
    [InlineData("does not say which array", "--array", "far=21-24", "--preset", "tetra-25mm-subcardioid")]
    [InlineData("stands alone", "--undo", "--title", "x")]
    public void ImpossibleRigIsRefusedAndTheSessionLeftAsItIs(string said, params string[] options)
    {
        var before = File.ReadAllText(Session);

        CommandLine.Refuses(said, ["rig", Session, .. options]);

        Assert.Equal(before, File.ReadAllText(Session));
    }

    [Fact]
    public void EveryChangeIsTakenBackToTheLetterTwentySteps()
    {
        var states = new List<string>();
        for (var i = 0; i < 25; i++)
        {
            states.Add(File.ReadAllText(Session));
            Rig("--title", $"evening {i}");
        }
        for (var i = 0; i < 20; i++)
        {
            var result = CommandLine.Run("rig", Session, "--undo");
            Assert.Equal(0, result.ExitCode);
            Assert.Contains("'rig' of ", result.Out, StringComparison.Ordinal);
            Assert.Equal(states[^(i + 1)], File.ReadAllText(Session));
        }
        CommandLine.Refuses("there is no earlier state", "rig", Session, "--undo");
    }

    [Fact]
    public void BeginningAnewNamesWhatGoesAndCanBeTakenBack()
    {
        var before = File.ReadAllText(Session);

        var result = CommandLine.Run("start", Session, "--array", "main=1-4", "--replace");
        Assert.Contains("trims 'line-up' of array 'main', trims 'room' of array 'main', the patch check of array 'main', what was measured of spot 'harp', what was measured of spot 'bells', 2 claps of the slate, the decay of the room", result.Error, StringComparison.Ordinal);
        Assert.Empty(SessionStore.Read(Session).Spots);

        Assert.Equal(0, CommandLine.Run("rig", Session, "--undo").ExitCode);
        Assert.Equal(before, File.ReadAllText(Session));
    }

    [Fact]
    public void DamagedStatesCostTheUndoingAndNotTheSession()
    {
        File.WriteAllBytes(folder.File(".concert.json.undo"), [255, 255, 255, 127, 1, 2, 3]);

        Rig("--title", "evening");

        Assert.Equal(0, CommandLine.Run("rig", Session, "--undo").ExitCode);
    }

    private SessionDocument Rig(params string[] options)
    {
        var result = CommandLine.Run(["rig", Session, .. options]);
        Assert.Equal((0, ""), (result.ExitCode, result.Error));
        return SessionStore.Read(Session);
    }

    private SessionDocument Rig(string[] dropped, params string[] options)
    {
        var result = CommandLine.Run(["rig", Session, .. options, "--json"]);
        Assert.Equal(0, result.ExitCode);
        Assert.Equal(dropped.Order(StringComparer.Ordinal), result.Json["dropped"]!.AsArray().Select(d => (string)d!).Order(StringComparer.Ordinal));
        return SessionStore.Read(Session);
    }

    private static TrimSet Trims(string name, string source) => new() { Name = name, Source = source, Db = [0, 0.1, -0.1, 0], UncertaintyDb = [0.01, 0.01, 0.01, 0.01] };
}
