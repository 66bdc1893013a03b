using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Faults;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Simulation.Tests.Faults;

public sealed class ChannelFaultTests
{
    private static readonly Scene Two = new(new Room(new Vector3D(14, 11, 6), 0.6), 48000, 1, 5)
    {
        Arrays = [new SceneArray("main", new Vector3D(6, 5, 2), new(SceneGenerator.Tetrahedron, 0.015, 0.5, Rotation3D.Identity))],
        Sources = [new SceneSource("a", new Vector3D(8.5, 5, 1.2)), new SceneSource("b", new Vector3D(4, 7, 1.2))],
        Spots = [new SceneSpot("spot a", "a", new Vector3D(8.1, 5.2, 1.3)), new SceneSpot("spot b", "b", new Vector3D(4.3, 6.7, 1.3))],
        Clicks = [new ClickEvent(0.1, "a"), new ClickEvent(0.6, "b")],
        LongestTailSeconds = 0.2,
    };

    // A fault that changes nothing: both recordings then go the same way.
    private static readonly SceneRecording Sound = SceneRenderer.Render(Two with { Faults = [new Dropout(1, 0.95, 0)] });

    [Fact]
    public void ADeadChannelWhispersAndItsSpotCannotBeMeasured()
    {
        var recording = SceneRenderer.Render(Two with { Faults = [new DeadChannel(5), new DeadChannel(2)] });
        Assert.InRange(recording.Channels[4].Max(Math.Abs), 1e-7, 1e-4);
        Assert.NotNull(recording.Truth.Spot("spot a").Hindrance);
        Assert.Null(recording.Truth.Spot("spot b").Hindrance);
        Assert.Equal([2], recording.Truth.FaultyCapsules);
    }

    [Fact]
    public void AnInvertedChannelTurnsItsPolarityAndNothingElse()
    {
        var recording = SceneRenderer.Render(Two with { Faults = [new InvertedChannel(6), new InvertedChannel(3)] });
        Assert.Equal(Array.ConvertAll(Sound.Channels[5], x => -x), recording.Channels[5]);
        Assert.Equal(-Sound.Truth.Spot("spot b").Polarity, recording.Truth.Spot("spot b").Polarity);
        Assert.Equal(Sound.Truth.Spot("spot a").Polarity, recording.Truth.Spot("spot a").Polarity);
        Assert.Equal([3], recording.Truth.FaultyCapsules);
    }

    [Fact]
    public void SwappedChannelsCarryOneAnother()
    {
        var recording = SceneRenderer.Render(Two with { Faults = [new SwappedChannels(1, 5)] });
        Assert.Equal(Sound.Channels[0], recording.Channels[4]);
        Assert.Equal(Sound.Channels[4], recording.Channels[0]);
        Assert.Equal([1], recording.Truth.FaultyCapsules);
        Assert.NotNull(recording.Truth.Spot("spot a").Hindrance);
    }

    [Fact]
    public void ClippingOffsetAndDropoutsDoWhatTheySay()
    {
        var recording = SceneRenderer.Render(Two with
        {
            Faults = [new ClippedChannel(5, 6), new ChannelOffset(2, 40), new Dropout(6, 0.58, 0.1)],
        });
        var scale = recording.Channels[0].Max(Math.Abs) / Sound.Channels[0].Max(Math.Abs);
        Assert.Equal(Sound.Channels[4].Max(Math.Abs) * scale * 0.5012, recording.Channels[4].Max(Math.Abs), 1e-4);
        Assert.Equal(Sound.Channels[1].Max(Math.Abs) * scale * 0.01, recording.Channels[1].Average() - Sound.Channels[1].Average() * scale, 1e-4);
        Assert.All(recording.Channels[5][27840..32640], sample => Assert.Equal(0, sample));
        Assert.NotEqual(0, recording.Channels[5][33000]);
        Assert.NotNull(recording.Truth.Spot("spot b").Hindrance);
    }

    [Fact]
    public void AClickOfTheSupplyComesIntoAllChannelsAtTheSameSample()
    {
        var recording = SceneRenderer.Render(Two with { Clicks = [new ClickEvent(0.3, "a")], Faults = [new CommonClick(0.1, 30)] });
        for (var c = 0; c < recording.Channels.Length; c++)
        {
            Assert.Equal(4800, Array.FindIndex(recording.Channels[c], x => Math.Abs(x) > 1e-5));
            Assert.InRange(20 * Math.Log10(Math.Abs(recording.Channels[c][4800]) / recording.Channels[c].Max(Math.Abs)), -33.1, -26.9);
        }
    }

    [Fact]
    public void AFaultOnAChannelThatIsNotThereIsRefused()
    {
        var refused = Assert.Throws<ArgumentOutOfRangeException>(() => SceneRenderer.Render(Two with { Faults = [new DeadChannel(7)] }));
        Assert.Contains("1 to 6", refused.Message, StringComparison.Ordinal);
    }
}
