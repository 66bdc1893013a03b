using CaptureProc.Simulation.Disturbances;
using CaptureProc.Simulation.Faults;
using CaptureProc.Simulation.Microphones;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Simulation.Tests.Scenes;

public sealed class RealSceneGeneratorTests
{
    private static readonly RecordedSound Knock = new("knock", MakeKnock(44100), 44100);

    /// <summary>How each part shows in a drawn scene.</summary>
    private static readonly Dictionary<SceneParts, Func<Scene, bool>> Signs = new()
    {
        [SceneParts.CapsuleGains] = s => Capsules(s).Any(c => c.GainDb != 0),
        [SceneParts.CapsuleResponses] = s => Capsules(s).Any(c => c.Response is not null),
        [SceneParts.CapsulePatterns] = s => Capsules(s).Any(c => c.OmniBelowHz is not null && c.Treble is not null),
        [SceneParts.CapsulePlaces] = s => Capsules(s).Any(c => c.PlaceErrorM != default),
        [SceneParts.CapsuleAxes] = s => Capsules(s).Any(c => c.AxisTurn is not null),
        [SceneParts.ArrayBody] = s => s.Arrays[0].Build?.BodyRadiusM is not null,
        [SceneParts.SpotPatterns] = s => s.Spots.Any(spot => spot.Aim is not null),
        [SceneParts.SpotLowCuts] = s => Curves(s).Any(c => c.LowCut is not null),
        [SceneParts.SpotPresence] = s => Curves(s).Any(c => c.Bells.Count > 0),
        [SceneParts.SpotRollOffs] = s => Curves(s).Any(c => c.RollOff is not null),
        [SceneParts.SpotOffAxis] = s => s.Spots.Any(spot => spot.Build?.Capsules[0].Treble is { OffAxisLoss: > 0 }),
        [SceneParts.ClipOns] = s => s.Spots.Any(spot => Reach(s, spot) <= 0.3 && spot.Build?.Board is not null),
        [SceneParts.BoundaryPlaces] = s => Curves(s).Any(c => c.Plate is not null),
        [SceneParts.Boards] = s => s.Spots.Any(spot => Reach(s, spot) > 0.3 && spot.Build?.Board is not null),
        [SceneParts.RecordedClaps] = s => s.Clicks.Any(click => click.Recorded is not null),
        [SceneParts.RingingSlates] = s => s.Clicks.Any(click => click.Kind == ClickKind.RingingSlate),
        [SceneParts.DirectionalTreble] = s => s.Sources.Any(source => source.Radiation.TrebleLossDb > 0),
        [SceneParts.WideSources] = s => s.Sources.Any(source => source.WidthM > 0),
        [SceneParts.TwoPeople] = s => s.Clicks.Zip(s.Clicks.Skip(1)).Any(pair => pair.Second.TimeSeconds - pair.First.TimeSeconds < 0.45),
        [SceneParts.Bodies] = s => s.Bodies.Count > 0,
        [SceneParts.Moves] = s => s.Clicks.Any(click => click.OffsetM != default),
        [SceneParts.UnlikeSurfaces] = s => s.Room.Surfaces is { } surfaces && surfaces.Left != surfaces.Right,
        [SceneParts.ScatteringWalls] = s => s.Room.WallScattering > 0,
        [SceneParts.StageFloor] = s => s.StageFloor is not null,
        [SceneParts.Audience] = s => s.Background.Any(b => b is DiffuseNoise { HighHz: > 1000 }),
        [SceneParts.Hum] = s => s.Background.Any(b => b is Hum),
        [SceneParts.Ventilation] = s => s.Background.Any(b => b is DiffuseNoise { HighHz: < 1000 }),
        [SceneParts.Wind] = s => s.Background.Any(b => b is Wind),
        [SceneParts.CommonClicks] = s => s.Faults.Any(f => f is CommonClick),
        [SceneParts.Offsets] = s => s.Faults.Any(f => f is ChannelOffset),
        [SceneParts.Dropouts] = s => s.Faults.Any(f => f is Dropout),
        [SceneParts.ClippedChannels] = s => s.Faults.Any(f => f is ClippedChannel),
        [SceneParts.DeadChannels] = s => s.Faults.Any(f => f is DeadChannel),
        [SceneParts.InvertedChannels] = s => s.Faults.Any(f => f is InvertedChannel),
        [SceneParts.SwappedChannels] = s => s.Faults.Any(f => f is SwappedChannels),
    };

    // They all show as programme, so they are told apart by being the only one that is on.
    private static readonly SceneParts[] Programme =
        [SceneParts.Footsteps, SceneParts.Doors, SceneParts.Coughs, SceneParts.Chairs, SceneParts.Talk, SceneParts.Music];

    [Fact]
    public void EachPartAloneChangesItsOwnThingOnly()
    {
        foreach (var part in Enum.GetValues<SceneParts>().Where(p => ulong.IsPow2((ulong)p)))
        {
            var shown = false;
            for (var seed = 1UL; seed <= 40; seed++)
            {
                var scene = RealSceneGenerator.Draw(seed, new RealSceneRanges { Parts = part, SpotCount = 3, RecordedClaps = [Knock] });
                shown |= Signs.TryGetValue(part, out var sign) ? sign(scene) : scene.Programme.Count > 0;
                foreach (var (other, shows) in Signs)
                    Assert.False(other != part && shows(scene), $"{part} alone, seed {seed}, shows {other}");
                Assert.True(Programme.Contains(part) || scene.Programme.Count == 0, $"{part} alone, seed {seed}, makes a sound");
                if (shown && seed >= 4)
                    break;
            }
            Assert.True(shown, $"{part} never showed");
        }
    }

    [Fact]
    public void WithoutPartsASceneIsIdeal()
    {
        var scene = RealSceneGenerator.Draw(3, new RealSceneRanges { Parts = SceneParts.None, SpotCount = 2 });
        Assert.True(scene.IsIdeal);
        Assert.False(RealSceneGenerator.Draw(3, new RealSceneRanges { SpotCount = 2 }).IsIdeal);
    }

    [Theory]
    [InlineData(44100)]
    [InlineData(96000)]
    public void ASeedDrawsTheSameSceneWithAllPartsEveryTime(double rateHz)
    {
        var ranges = new RealSceneRanges
        {
            Parts = SceneParts.All, SpotCount = 2, SampleRateHz = rateHz, RecordedClaps = [Knock], SecondsBetweenClaps = 0.6, LongestTailSeconds = 0.2, TetrahedralSpotShare = 0.5,
        };
        var first = SceneRenderer.Render(RealSceneGenerator.Draw(12, ranges));
        var again = SceneRenderer.Render(RealSceneGenerator.Draw(12, ranges));
        for (var c = 0; c < first.Channels.Length; c++)
        {
            Assert.Equal(first.Channels[c], again.Channels[c]);
            Assert.All(first.Channels[c], sample => Assert.True(float.IsFinite(sample)));
        }
        foreach (var spot in first.Truth.Spots)
            Assert.True(double.IsFinite(spot.DelaySamples));
    }

    [Fact]
    public void ARecordedClapIsCutResampledAndBroughtToPeakOne()
    {
        var ranges = new RealSceneRanges { Parts = SceneParts.RecordedClaps, RecordedClaps = [Knock], RecordedShare = 1, SpotCount = 1 };
        var sound = RealSceneGenerator.Draw(5, ranges).Clicks[0].Recorded!;
        Assert.Equal(1, sound.Max(Math.Abs), 1e-9);
        // A tone of 1 kHz that dies with 5 ms; cut at −50 dB it lasts some 30 ms, and keeps its frequency.
        Assert.InRange(sound.Length, 1000, 2200);
        var crossings = 0;
        for (var i = 300; i < 780; i++)
            crossings += sound[i] >= 0 != sound[i + 1] >= 0 ? 1 : 0;
        Assert.InRange(crossings, 19, 21);
        Assert.Throws<ArgumentException>(() => RealSceneGenerator.Draw(5, ranges with { RecordedClaps = [new RecordedSound("nothing", new float[100], 48000)] }));
    }

    [Fact]
    public void BoardsThrowTheClapBackBetweenAThirdAndTwoMilliseconds()
    {
        var count = 0;
        for (var seed = 1UL; seed <= 40; seed++)
        {
            var scene = RealSceneGenerator.Draw(seed, new RealSceneRanges { Parts = SceneParts.Boards });
            foreach (var spot in scene.Spots)
                if (spot.Build?.Board is { } board)
                {
                    var source = scene.Source(spot.SourceId).PositionM;
                    var lag = ((board.Mirrored(source) - spot.PositionM).Length - (source - spot.PositionM).Length) / 343;
                    Assert.InRange(lag, 0.0003 - 1e-9, 0.002 + 1e-9);
                    Assert.True(board.Faces(source) && board.Faces(spot.PositionM));
                    count++;
                }
        }
        Assert.InRange(count, 60, 140);
    }

    private static IEnumerable<CapsuleBuild> Capsules(Scene scene) => scene.Arrays[0].Build?.Capsules ?? [];

    private static IEnumerable<ResponseCurve> Curves(Scene scene) =>
        scene.Spots.SelectMany(spot => spot.Build?.Capsules ?? []).Select(capsule => capsule.Response).OfType<ResponseCurve>();

    private static double Reach(Scene scene, SceneSpot spot) => (scene.Source(spot.SourceId).PositionM - spot.PositionM).Length;

    private static float[] MakeKnock(double rateHz)
    {
        var sound = new float[8000];
        for (var i = 0; i < 4000; i++)
            sound[2000 + i] = (float)(0.3 * Math.Sin(2 * Math.PI * 1000 * i / rateHz) * Math.Exp(-i / (0.005 * rateHz)));
        return sound;
    }
}
