using System.Globalization;

namespace CaptureProc.Rendering.Signals;

/// <summary>A sine that rises by the same number of octaves every second, and the signal that undoes it.</summary>
/// <remarks>
/// x(t) = A·sin(2π·f1·L·(e^(t/L) − 1)) with L = T/ln(f2/f1): the spectrum falls by 3.01 dB an octave. The inverse is the sweep
/// backwards under an envelope ∝ f, so that both convolved give an impulse, late by <see cref="InverseDelayFrames"/>,
/// and what a nonlinear path adds lands before it.
/// The sweep starts an octave below the first frequency and ends a sixth above the last (as far as the rate carries): the
/// fades lie there, and the band that was asked for stays flat, within 0.1 dB for 10 s (see the tests).
/// Source: Farina, Simultaneous measurement of impulse response and distortion with a swept-sine technique, AES 108, 2000 (from memory).
/// </remarks>
public sealed class ExponentialSweep : TestSignal
{
    private readonly double startHz, endHz, fromHz, toHz, secondsPerE, levelDbfs;
    private readonly double fadeInSeconds, fadeOutSeconds;

    /// <exception cref="ArgumentException">The band is empty or passes 0.45 of the rate; the level passes the largest true peak.</exception>
    public ExponentialSweep(int sampleRateHz, long frameCount, int channelCount, double levelDbfs, double fromHz, double toHz)
        : base(sampleRateHz, frameCount, channelCount)
    {
        if (!(fromHz >= 1 && toHz >= 2 * fromHz && toHz <= 0.46 * sampleRateHz))
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"a sweep from {fromHz:0.##} to {toHz:0.##} Hz does not fit the rate of {sampleRateHz} Hz; it has to start at 1 Hz or above, cover an octave or more, and end at {0.46 * sampleRateHz:0} Hz or below"));
        if (levelDbfs > MaxTruePeakDbtp)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"a sweep at {levelDbfs:0.##} dBFS peaks at {levelDbfs:0.##} dBTP, above {MaxTruePeakDbtp:0} dBTP; ask for {MaxTruePeakDbtp:0} dBFS or less"));
        (this.levelDbfs, this.fromHz, this.toHz) = (levelDbfs, fromHz, toHz);
        startHz = fromHz / 2;
        endHz = Math.Min(toHz * Math.Pow(2, 1.0 / 6), 0.495 * sampleRateHz);
        secondsPerE = frameCount / (double)sampleRateHz / Math.Log(endHz / startHz);
        fadeInSeconds = secondsPerE * Math.Log(fromHz / startHz);
        fadeOutSeconds = secondsPerE * Math.Log(endHz / toHz);
    }

    public override double TruePeakDbtp => levelDbfs;

    /// <summary>Where the impulse stands in sweep convolved with inverse, counted from frame 0.</summary>
    public long InverseDelayFrames => FrameCount - 1;

    /// <summary>The gain in dB that the convolution of sweep and inverse has within the band.</summary>
    /// <remarks>
    /// |X(f)|² = A²·L·rate²/(4f), and the inverse is the reversed sweep times f/f_end, which keeps it as high as the sweep itself.
    /// </remarks>
    public double RoundTripGainDb =>
        2 * levelDbfs + ToDb(secondsPerE * SampleRateHz * SampleRateHz / (4 * endHz));

    public override string Description => string.Create(CultureInfo.InvariantCulture,
        $"exponential sweep, {fromHz:0.##} Hz to {toHz:0.##} Hz, {levelDbfs:0.00} dBFS RMS; with its inverse an impulse of {RoundTripGainDb:0.00} dB at frame {InverseDelayFrames}");

    public override void Render(int channel, long firstFrame, Span<double> samples)
    {
        for (var i = 0; i < samples.Length; i++)
            samples[i] = At(firstFrame + i, out _);
    }

    /// <summary>Overwrites <paramref name="samples"/> with the inverse, as long as the sweep and as high.</summary>
    public void RenderInverse(long firstFrame, Span<double> samples)
    {
        for (var i = 0; i < samples.Length; i++)
            samples[i] = At(FrameCount - 1 - firstFrame - i, out var frequencyHz) * frequencyHz / endHz;
    }

    private double At(long frame, out double frequencyHz)
    {
        var t = frame / (double)SampleRateHz;
        var growth = Math.Exp(t / secondsPerE);
        frequencyHz = startHz * growth;
        if (frame < 0 || frame >= FrameCount)
            return 0;
        var turns = Math.IEEERemainder(startHz * secondsPerE * (growth - 1), 1);
        var left = (FrameCount - 1 - frame) / (double)SampleRateHz;
        return Math.Pow(10, levelDbfs / 20) * Math.Sin(2 * Math.PI * turns) * Rise(t / fadeInSeconds) * Rise(left / fadeOutSeconds);
    }

    private static double Rise(double x)
    {
        if (x >= 1)
            return 1;
        var sine = Math.Sin(Math.PI / 2 * Math.Max(0, x));
        return sine * sine;
    }
}
