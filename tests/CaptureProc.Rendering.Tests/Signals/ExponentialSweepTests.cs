using System.Numerics;
using CaptureProc.Rendering.Signals;
using MathNet.Numerics.IntegralTransforms;

namespace CaptureProc.Rendering.Tests.Signals;

public class ExponentialSweepTests
{
    // Sweep and inverse multiplied in MathNet's transform: the impulse, and its spectrum.
    private static (double[] Impulse, Complex[] Spectrum) RoundTrip(ExponentialSweep sweep)
    {
        var size = (int)BitOperations.RoundUpToPowerOf2((uint)(2 * sweep.FrameCount));
        Complex[] Transform(Action<double[]> render)
        {
            var samples = new double[sweep.FrameCount];
            render(samples);
            var padded = new Complex[size];
            for (var i = 0; i < samples.Length; i++)
                padded[i] = samples[i];
            Fourier.Forward(padded, FourierOptions.AsymmetricScaling);
            return padded;
        }

        var spectrum = Transform(s => sweep.Render(0, 0, s));
        var inverse = Transform(s => sweep.RenderInverse(0, s));
        for (var k = 0; k < size; k++)
            spectrum[k] *= inverse[k];
        var impulse = (Complex[])spectrum.Clone();
        Fourier.Inverse(impulse, FourierOptions.AsymmetricScaling);
        return ([.. impulse.Select(c => c.Real)], spectrum);
    }

    [Theory]
    [InlineData(48000, 10, 20, 20000, 0.1)]
    [InlineData(96000, 5, 20, 20000, 0.25)]
    [InlineData(44100, 3, 50, 16000, 0.15)]
    public void SweepAndInverseGiveAFlatBandOfTheStatedGain(int rateHz, int seconds, double fromHz, double toHz, double toleranceDb)
    {
        var sweep = new ExponentialSweep(rateHz, (long)seconds * rateHz, 1, -12, fromHz, toHz);
        var (_, spectrum) = RoundTrip(sweep);
        for (var k = (int)Math.Ceiling(fromHz * spectrum.Length / rateHz); k <= toHz * spectrum.Length / rateHz; k++)
            Assert.Equal(sweep.RoundTripGainDb, 20 * Math.Log10(spectrum[k].Magnitude), toleranceDb);
        // A filter that undid more than was played would lift noise.
        for (var k = 1; k < fromHz / 3 * spectrum.Length / rateHz; k++)
            Assert.True(20 * Math.Log10(spectrum[k].Magnitude) < sweep.RoundTripGainDb - 40);
    }

    [Fact]
    public void TheImpulseStandsWhereItIsStatedAndIsSymmetric()
    {
        var sweep = new ExponentialSweep(48000, 48000 * 4L, 1, -12, 20, 20000);
        var (impulse, _) = RoundTrip(sweep);
        var at = (int)sweep.InverseDelayFrames;
        Assert.Equal(impulse.Max(), impulse[at]);
        for (var i = 1; i < 200; i++)
            Assert.Equal(impulse[at - i], impulse[at + i], 0.001 * impulse[at]);
        // Away from the impulse nothing is left: -60 dB after 0.2 s, where the 20 Hz edge has rung out.
        Assert.All(impulse[(at + 9600)..(at + 48000)], x => Assert.InRange(Math.Abs(x), 0, 0.001 * impulse[at]));
    }

    [Fact]
    public void TheInstantaneousFrequencyRisesByTheSameFactorEverySecond()
    {
        const int rateHz = 48000;
        var sweep = new ExponentialSweep(rateHz, 10 * rateHz, 1, -6, 100, 10000);
        var samples = new double[10 * rateHz];
        sweep.Render(0, 0, samples);
        // Zero crossings counted in 0.1 s around a time give the frequency there.
        double FrequencyAt(double seconds)
        {
            var (from, to) = ((int)((seconds - 0.05) * rateHz), (int)((seconds + 0.05) * rateHz));
            var crossings = 0;
            for (var i = from; i < to; i++)
                crossings += samples[i] < 0 != samples[i + 1] < 0 ? 1 : 0;
            return crossings / 0.2;
        }

        // From 50 to 10000·2^(1/6) Hz in 10 s.
        var perSecond = Math.Pow(100 * 2 * Math.Pow(2, 1.0 / 6), 0.1);
        for (var t = 4.0; t < 9; t++)
            Assert.Equal(perSecond, FrequencyAt(t + 1) / FrequencyAt(t), 0.01 * perSecond);
    }
}
