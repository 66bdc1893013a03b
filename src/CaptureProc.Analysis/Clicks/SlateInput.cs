using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Channels that belong together, counted from 0, and the factor that matches each to the others.</summary>
public sealed record ChannelSet(IReadOnlyList<int> Channels, IReadOnlyList<double> Gains);

/// <summary>A spot microphone in a recording.</summary>
/// <param name="Id">Its name, for notes to the user.</param>
/// <param name="Set">Its channel; two or three count as one by their sum; four may be a capsule array.</param>
/// <param name="Capsules">What the four channels are, or null.</param>
public sealed record SpotInput(string Id, ChannelSet Set, CapsuleArray? Capsules);

/// <summary>What there is to know about a slate before it is measured.</summary>
public sealed record SlateInput(
    double SampleRateHz, double SpeedOfSoundMps, CapsuleArray Array, ChannelSet ArraySet, IReadOnlyList<SpotInput> Spots);
