using System.Globalization;

namespace CaptureProc.Rendering.Signals;

/// <summary>One steady sine, the same on every channel.</summary>
/// <remarks>997 Hz is the usual choice: a prime number, so that the samples meet every part of the wave (AES17, from memory).</remarks>
public sealed class SineTone : TestSignal
{
    private readonly double frequencyHz, levelDbfs;

    /// <exception cref="ArgumentException">The frequency passes 0.45 of the rate, or the level the largest true peak.</exception>
    public SineTone(int sampleRateHz, long frameCount, int channelCount, double levelDbfs, double frequencyHz)
        : base(sampleRateHz, frameCount, channelCount)
    {
        if (!(frequencyHz > 0 && frequencyHz <= 0.45 * sampleRateHz))
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"a sine of {frequencyHz:0.##} Hz does not fit the rate of {sampleRateHz} Hz; ask for one above 0 and up to {0.45 * sampleRateHz:0} Hz"));
        if (levelDbfs > MaxTruePeakDbtp)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"a sine at {levelDbfs:0.##} dBFS peaks at {levelDbfs:0.##} dBTP, above {MaxTruePeakDbtp:0} dBTP; ask for {MaxTruePeakDbtp:0} dBFS or less"));
        (this.frequencyHz, this.levelDbfs) = (frequencyHz, levelDbfs);
    }

    public override double TruePeakDbtp => levelDbfs;

    public override string Description => string.Create(CultureInfo.InvariantCulture,
        $"sine of {frequencyHz:0.###} Hz, {levelDbfs:0.00} dBFS RMS");

    public override void Render(int channel, long firstFrame, Span<double> samples)
    {
        var amplitude = Math.Pow(10, levelDbfs / 20);
        for (var i = 0; i < samples.Length; i++)
        {
            var frame = firstFrame + i;
            // Whole turns are taken out before the sine: an hour in, the phase is as exact as at the start.
            var turns = Math.IEEERemainder(frame * (frequencyHz / SampleRateHz), 1);
            samples[i] = frame >= 0 && frame < FrameCount ? amplitude * Math.Sin(2 * Math.PI * turns) * FadeAt(frame) : 0;
        }
    }
}
