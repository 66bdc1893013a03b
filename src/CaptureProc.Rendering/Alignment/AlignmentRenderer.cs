using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Rendering.Streaming;

namespace CaptureProc.Rendering.Alignment;

/// <summary>Renders the array, every spot, and every spot that is to be placed, one after the other.</summary>
internal sealed class AlignmentRenderer : IBlockRenderer
{
    private readonly VoiceBank voices;
    private readonly GainMatrix?[] places;

    /// <param name="voices">The array and the spots.</param>
    /// <param name="spots">The spots of the voices, in the same order.</param>
    /// <param name="placed">For each spot whether it is also placed.</param>
    /// <param name="field">Format and turn of the field in which they are placed.</param>
    /// <param name="order">Its order.</param>
    public AlignmentRenderer(VoiceBank voices, IReadOnlyList<AlignedSpot> spots, IReadOnlyList<bool> placed, FieldConversion field, int order)
    {
        this.voices = voices;
        places = new GainMatrix?[spots.Count];
        OutputChannelCount = voices.Array.OutputChannelCount;
        for (var i = 0; i < spots.Count; i++)
        {
            OutputChannelCount += voices.Spots[i].OutputChannelCount;
            if (!placed[i])
                continue;
            places[i] = new GainMatrix(SphericalHarmonics.ChannelCount(order), voices.Spots[i].OutputChannelCount, voices.BlockFrames);
            places[i]!.GlideTo(Placement.Gains(spots[i], field, order), 0);
            OutputChannelCount += places[i]!.Outputs;
        }
    }

    public IReadOnlyList<int> InputChannels => voices.InputChannels;

    public int OutputChannelCount { get; }

    public int MaxBlockFrames => voices.BlockFrames;

    public int LatencyFrames => voices.LatencyFrames;

    public void Render(float[][] input, float[][] output, int first, int frames)
    {
        var at = 0;
        PlanarSpan Next(int channels)
        {
            at += channels;
            return new PlanarSpan(output.AsSpan(at - channels, channels), first, frames);
        }
        voices.Array.Render(input, first, Next(voices.Array.OutputChannelCount));
        for (var i = 0; i < places.Length; i++)
        {
            var aligned = Next(voices.Spots[i].OutputChannelCount);
            voices.Spots[i].Render(input, first, aligned);
            if (places[i] is { } place)
                place.Process(aligned, Next(place.Outputs));
        }
    }
}
