using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Simulation.Faults;

/// <summary>What the faults of a recording leave of its spots and capsules.</summary>
internal static class ChannelTruth
{
    /// <summary>Why a spot cannot be measured; null = it can.</summary>
    public static string? Hindrance(Scene scene, SceneSpot spot)
    {
        var (first, count) = Channels(scene, spot);
        foreach (var fault in scene.Faults)
            switch (fault)
            {
                case DeadChannel dead when IsOwn(dead.Channel):
                    return "its channel is dead";
                case SwappedChannels swapped when IsOwn(swapped.First) != IsOwn(swapped.Second):
                    return "its channel carries another microphone";
                case Dropout dropout when IsOwn(dropout.Channel) && scene.Clicks.Any(click => click.SourceId == spot.SourceId
                    && click.TimeSeconds < dropout.TimeSeconds + dropout.Seconds && click.TimeSeconds + 0.05 > dropout.TimeSeconds):
                    return "its channel drops out while its clap passes";
            }
        return null;

        bool IsOwn(int channel) => channel >= first && channel < first + count;
    }

    /// <summary>Whether faults invert a mono spot on top of what the scene says of it.</summary>
    public static bool IsInverted(Scene scene, SceneSpot spot)
    {
        var (first, count) = Channels(scene, spot);
        return count == 1 && scene.Faults.Count(fault => fault is InvertedChannel inverted && inverted.Channel == first) % 2 == 1;
    }

    public static IReadOnlyList<int> FaultyCapsules(Scene scene)
    {
        var faulty = new SortedSet<int>();
        var count = scene.Arrays.Count == 0 ? 0 : scene.Arrays[0].Capsules.Capsules.Count;
        foreach (var fault in scene.Faults)
            foreach (var channel in fault switch
            {
                DeadChannel dead => (int[])[dead.Channel],
                InvertedChannel inverted => [inverted.Channel],
                SwappedChannels swapped => [swapped.First, swapped.Second],
                _ => [],
            })
                if (channel <= count)
                    faulty.Add(channel);
        return [.. faulty];
    }

    /// <summary>First channel, from 1, and number of channels of a spot.</summary>
    private static (int First, int Count) Channels(Scene scene, SceneSpot spot)
    {
        var channel = 1;
        foreach (var array in scene.Arrays)
            channel += array.Capsules.Capsules.Count;
        foreach (var other in scene.Spots)
        {
            var count = other.Capsules?.Capsules.Count ?? 1;
            if (other.Id == spot.Id)
                return (channel, count);
            channel += count;
        }
        throw new ArgumentException($"The scene has no spot '{spot.Id}'.", nameof(spot));
    }
}
