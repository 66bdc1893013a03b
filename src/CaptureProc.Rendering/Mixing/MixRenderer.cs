using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Rendering.Alignment;
using CaptureProc.Rendering.Streaming;

namespace CaptureProc.Rendering.Mixing;

/// <summary>Array and placed spots in one field: every voice is aligned, then one matrix of gains makes the sum.</summary>
internal sealed class MixRenderer : IBlockRenderer
{
    private readonly VoiceBank voices;
    private readonly float[][] aligned;
    private readonly GainMatrix sum;

    public MixRenderer(VoiceBank voices, IReadOnlyList<AlignedSpot> spots, MixSettings settings)
    {
        this.voices = voices;
        var order = settings.Alignment.Order;
        var inputs = voices.Array.OutputChannelCount + voices.Spots.Sum(v => v.OutputChannelCount);
        aligned = [.. Enumerable.Range(0, inputs).Select(_ => new float[voices.BlockFrames])];
        sum = new GainMatrix(SphericalHarmonics.ChannelCount(order), inputs, voices.BlockFrames);

        var gains = new float[sum.Outputs * inputs];
        var first = 0;
        void Put(float[] block, int channels, double gainDb)
        {
            var gain = (float)Math.Pow(10, gainDb / 20);
            for (var output = 0; output < sum.Outputs; output++)
                for (var channel = 0; channel < channels; channel++)
                    gains[output * inputs + first + channel] = gain * block[output * channels + channel];
            first += channels;
        }
        Put(Placement.FieldGains(sum.Outputs), voices.Array.OutputChannelCount, settings.LevelDb);
        for (var i = 0; i < spots.Count; i++)
            Put(Placement.Gains(spots[i], settings.Alignment.Field.Conversion, order), voices.Spots[i].OutputChannelCount,
                settings.LevelDb + settings.GainDbOf(spots[i].Spot));
        sum.GlideTo(gains, 0);
    }

    public IReadOnlyList<int> InputChannels => voices.InputChannels;

    public int OutputChannelCount => sum.Outputs;

    public int MaxBlockFrames => voices.BlockFrames;

    public int LatencyFrames => voices.LatencyFrames;

    public void Render(float[][] input, float[][] output, int first, int frames)
    {
        var at = 0;
        PlanarSpan Next(int channels)
        {
            at += channels;
            return new PlanarSpan(aligned.AsSpan(at - channels, channels), 0, frames);
        }
        voices.Array.Render(input, first, Next(voices.Array.OutputChannelCount));
        foreach (var voice in voices.Spots)
            voice.Render(input, first, Next(voice.OutputChannelCount));
        sum.Process(new ReadOnlyPlanarSpan(aligned, 0, frames), new PlanarSpan(output, first, frames));
    }
}
