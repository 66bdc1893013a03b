using CaptureProc.Analysis.Clicks;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests;

/// <summary>A simulated recording in memory: the array on the first four channels, the spots behind it.</summary>
internal sealed class MemorySource(float[][] channels) : IFrameSource
{
    public long FrameCount => channels[0].Length;

    public int ChannelCount => channels.Length;

    public static SlateInput Describe(Scene scene)
    {
        var spots = new List<SpotInput>();
        var channel = 4;
        foreach (var spot in scene.Spots)
        {
            var count = spot.Capsules?.Capsules.Count ?? 1;
            spots.Add(new SpotInput(spot.Id, Set(channel, count), spot.Capsules));
            channel += count;
        }
        return new SlateInput(scene.SampleRateHz, scene.Room.SpeedOfSoundMps, scene.Arrays[0].Capsules, Set(0, 4), spots);
    }

    private static ChannelSet Set(int first, int count) => new([.. Enumerable.Range(first, count)], [.. Enumerable.Repeat(1.0, count)]);

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
