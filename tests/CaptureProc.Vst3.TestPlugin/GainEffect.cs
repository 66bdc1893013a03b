using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Vst3.TestPlugin;

/// <summary>Two channels times a gain that follows automation to the frame, with a meter and a bypass.</summary>
public sealed class GainEffect : AudioEffect
{
    public const int Gain = 0;
    public const int Mode = 1;
    public const int Bypass = 2;
    public const int Peak = 3;

    private static readonly ParameterTable Table = new(
        Parameter.Range(10, "Gain", "", 0, 2, 1, 3),
        Parameter.List(11, "Mode", ["Plain", "Inverted"]),
        Parameter.Bypass(12),
        Parameter.Meter(13, "Peak", "", 0, 2, 4));

    private float[] gains = [], modes = [], bypasses = [];

    public static EffectClass Class { get; } = new(
        new Tuid(0x7C1F5E0A, 0x3B4D4E6F, 0x9A2B6C8D, 0x1E0F2A3B), "Binding Gain", "Fx|Tools", "1.0.0",
        new BusLayout(SpeakerArrangement.Stereo, SpeakerArrangement.Stereo), Table, "BGn1", () => new GainEffect());

    public override int LatencyFrames => 0;

    public override void Prepare(double sampleRateHz, int maxBlockFrames) =>
        (gains, modes, bypasses) = (new float[maxBlockFrames], new float[maxBlockFrames], new float[maxBlockFrames]);

    public override void Reset()
    {
    }

    public override void Process(in AudioBlock block)
    {
        var gain = gains.AsSpan(0, block.FrameCount);
        block.Parameters.Fill(Gain, gain);
        block.Parameters.Fill(Mode, modes.AsSpan(0, block.FrameCount));
        block.Parameters.Fill(Bypass, bypasses.AsSpan(0, block.FrameCount));
        var peak = 0f;
        for (var channel = 0; channel < 2; channel++)
        {
            var input = block.Input(channel);
            var output = block.Output(channel);
            for (var i = 0; i < output.Length; i++)
            {
                output[i] = bypasses[i] != 0 ? input[i] : (modes[i] == 0 ? gain[i] : -gain[i]) * input[i];
                peak = MathF.Max(peak, MathF.Abs(output[i]));
            }
        }
        block.Meters.Set(Peak, peak);
    }
}
