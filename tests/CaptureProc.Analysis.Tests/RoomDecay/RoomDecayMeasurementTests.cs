using CaptureProc.Analysis.RoomDecay;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.RoomDecay;

/// <summary>Claps in simulated halls whose reverberation time is given.</summary>
public class RoomDecayMeasurementTests
{
    [Theory]
    [InlineData(0.8)]
    [InlineData(1.6)]
    public void LoudClapsTellTheReverberationTime(double seconds)
    {
        var room = Hear(seconds, signalToNoiseDb: 70)!;

        // The simulator's tail decays with T by construction; 5 % is what ISO 3382-1 takes for just noticeable.
        Assert.Equal(3, room.ClickCount);
        Assert.Equal(seconds, room.ReverberationSeconds!.Value, 0.05 * seconds);
        Assert.Equal(seconds, room.EdtSeconds!.Value, 0.15 * seconds);
        Assert.InRange(Math.Abs(room.ReverberationSeconds.Value - seconds), 0, 3 * room.UncertaintySeconds!.Value);
        Assert.All(room.Bands.Where(b => b.NominalHz >= 500), b => Assert.Equal(seconds, b.T20Seconds!.Value, 0.12 * seconds));
    }

    [Fact]
    public void WeakClapsLeaveAGapInsteadOfAGuess()
    {
        var room = Hear(1.6, signalToNoiseDb: 30);

        Assert.Null(room?.ReverberationSeconds);
    }

    // Unlike capsules, unlike spots, walls that scatter; hum and ventilation from all round, 6 dB below the microphones' own noise to 12 above it.
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void RealMicrophonesHumAndVentilationLeaveTheReverberationTime(int seed)
    {
        const SceneParts Parts = SceneParts.Array | SceneParts.SpotPatterns | SceneParts.SpotLowCuts | SceneParts.SpotPresence | SceneParts.SpotOffAxis
            | SceneParts.ScatteringWalls | SceneParts.Hum | SceneParts.Ventilation;
        var drawn = RealSceneGenerator.Draw((ulong)seed, new RealSceneRanges { Parts = Parts, SpotCount = 3, ArrayRadiusM = 0.0147 });
        var room = Hear(1.2, 75, scene => scene with
        {
            Room = scene.Room with { WallScattering = drawn.Room.WallScattering },
            Arrays = [scene.Arrays[0] with { Build = drawn.Arrays[0].Build }],
            Spots = [.. scene.Spots.Zip(drawn.Spots, (spot, real) => spot with { Build = real.Build, Pattern = real.Pattern })],
            Background = drawn.Background,
        })!;
        Assert.Equal(1.2, room.ReverberationSeconds!.Value, 0.07 * 1.2);
        Assert.InRange(Math.Abs(room.ReverberationSeconds.Value - 1.2), 0, 4 * room.UncertaintySeconds!.Value + 0.03);
    }

    private static RoomDecayResult? Hear(double seconds, double signalToNoiseDb, Func<Scene, Scene>? change = null)
    {
        var array = new SceneArray("main", new Vector3D(7, 5, 2.2), new CapsuleArray(SceneGenerator.Tetrahedron, 0.0147, 0.5, Rotation3D.Identity));
        Vector3D[] players = [new(10, 6, 1.2), new(9.5, 3, 1.3), new(4.5, 4, 1.1)];
        var scene = new Scene(new Room(new Vector3D(15, 10, 6), seconds), 48000, 0.4 + 3 * (seconds + 0.3), 9)
        {
            Arrays = [array],
            Sources = [.. players.Select((p, i) => new SceneSource($"p{i}", p))],
            Spots = [.. players.Select((p, i) => new SceneSpot($"s{i}", $"p{i}", p + new Vector3D(0.3, 0.2, 0.2)))],
            Clicks = [.. players.Select((_, i) => new ClickEvent(0.4 + i * (seconds + 0.3), $"p{i}"))],
            Noise = new NoiseFloor(signalToNoiseDb),
            LongestTailSeconds = seconds,
        };
        scene = change?.Invoke(scene) ?? scene;
        return new RoomDecayMeasurement(new MemorySource(SceneRenderer.Render(scene).Channels), MemorySource.Describe(scene))
            .Measure([.. scene.Clicks.Select(c => c.TimeSeconds)]);
    }
}
