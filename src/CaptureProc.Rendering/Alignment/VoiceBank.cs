using CaptureProc.Dsp.Convolution;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Alignment;

/// <summary>The array and the spots of a take, each with its encoder and its delay, ready to be rendered side by side.</summary>
internal sealed class VoiceBank
{
    private readonly List<int> inputChannels = [];

    public VoiceBank(SessionDocument session, ArrayEntry array, AlignmentPlan plan, FieldConversion field, IReadOnlyList<AlignedSpot> spots, long takeFrames)
    {
        var encoder = field.DesignFilter(session, array);
        // The trim set that was asked for is the main array's; a spot's capsules have trims of their own.
        var own = field with { Trim = null };
        var encoders = spots.Select(s => s.Array is null ? null : own.DesignFilter(session, s.Array)).ToList();
        LatencyFrames = spots.Select((s, i) => s.Clock?.LatencyFrames(encoders[i]?.LatencyFrames ?? 0, s.AppliedDelaySamples, takeFrames) ?? 0)
            .Append(AlignedVoice.LatencyFrames(encoders.Append(encoder).Max(e => e?.LatencyFrames ?? 0))).Max();
        BlockFrames = BlockMatrixConvolver.EfficientBlockFrames(encoder);
        Array = Voice(array.Channels, encoder, plan.HeldBackFrames, 1, null);
        Spots = [.. spots.Select((s, i) => Voice(s.Spot.Channels, encoders[i], s.AppliedDelaySamples, s.Polarity, s.Clock))];
    }

    /// <summary>The channels of the recording that are needed, counted from 0.</summary>
    public IReadOnlyList<int> InputChannels => inputChannels;

    public int LatencyFrames { get; }

    public int BlockFrames { get; }

    public AlignedVoice Array { get; }

    /// <summary>One for each spot given, in that order.</summary>
    public IReadOnlyList<AlignedVoice> Spots { get; }

    /// <summary>Refuses a recording in which channels are missing.</summary>
    public static void RequireChannels(WavInput take, ArrayEntry array, IEnumerable<AlignedSpot> spots)
    {
        take.RequireChannels(array.Channels, $"array '{array.Id}'");
        foreach (var spot in spots)
            take.RequireChannels(spot.Spot.Channels, $"spot '{spot.Spot.Id}'");
    }

    private AlignedVoice Voice(IReadOnlyList<int> channels, MatrixFilter? encoder, double delaySamples, int polarity, ClockCourse? clock)
    {
        var inputs = new int[channels.Count];
        for (var i = 0; i < inputs.Length; i++)
        {
            if (!inputChannels.Contains(channels[i] - 1))
                inputChannels.Add(channels[i] - 1);
            inputs[i] = inputChannels.IndexOf(channels[i] - 1);
        }
        return new AlignedVoice(inputs, encoder, delaySamples, polarity, clock, LatencyFrames, BlockFrames);
    }
}
