using CaptureProc.Analysis.Clicks;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests;

/// <summary>A simulated recording in memory, array on the first four channels, one spot a channel behind them.</summary>
internal sealed class MemorySource(float[][] channels) : IFrameSource
{
    public long FrameCount => channels[0].Length;

    public int ChannelCount => channels.Length;

    public static SlateInput Describe(Scene scene) => new(
        scene.SampleRateHz, scene.Room.SpeedOfSoundMps, scene.Arrays[0].Capsules, new ChannelSet([0, 1, 2, 3], [1, 1, 1, 1]),
        [.. scene.Spots.Select((spot, i) => new SpotInput(spot.Id, new ChannelSet([4 + i], [1]), null))]);

    public void Read(long firstFrame, float[]?[] planar, int frames)
    {
        for (var c = 0; c < channels.Length; c++)
        {
            if (planar[c] is not { } wanted)
                continue;
            for (var n = 0; n < frames; n++)
            {
                var at = firstFrame + n;
                wanted[n] = at >= 0 && at < channels[c].Length ? channels[c][at] : 0;
            }
        }
    }
}
