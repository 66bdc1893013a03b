using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Simulation.Tests.Scenes;

public sealed class SceneGeneratorTests
{
    [Fact]
    public void ASeedDrawsTheSameRecordingEveryTime()
    {
        var ranges = new SceneRanges { SpotCount = 2, TalkDb = -12 };
        var first = SceneRenderer.Render(SceneGenerator.Draw(11, ranges));
        var again = SceneRenderer.Render(SceneGenerator.Draw(11, ranges));
        var other = SceneRenderer.Render(SceneGenerator.Draw(12, ranges));
        for (var c = 0; c < first.Channels.Length; c++)
            Assert.Equal(first.Channels[c], again.Channels[c]);
        Assert.NotEqual(first.Channels[0][30000..31000], other.Channels[0][30000..31000]);
    }

    [Fact]
    public void DrawnScenesStayWithinTheRangesAskedFor()
    {
        for (var seed = 1UL; seed <= 300; seed++)
        {
            var scene = SceneGenerator.Draw(seed, new SceneRanges { SpotCount = 5 });
            Assert.InRange(scene.Room.ReverberationSeconds, 0.4, 2.5);
            foreach (var spot in scene.Spots)
            {
                var truth = SpotTruth.Of(scene, scene.Arrays[0], spot);
                Assert.InRange(truth.ArrayDistanceM, 1.8, 4.2);
                Assert.InRange(truth.SpotDistanceM, 0.3, 0.9);
                Assert.InRange(spot.LevelOffsetDb, -12, 12);
                // Geometry's own arithmetic, from metres and c: 139.860 samples a metre at 48 kHz and 20 °C.
                Assert.Equal(139.860 * (truth.ArrayDistanceM - truth.SpotDistanceM), truth.DelaySamples, 0.01);
            }
        }
    }
}
