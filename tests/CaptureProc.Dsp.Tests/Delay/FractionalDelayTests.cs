using System.Numerics;
using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;
using MathNet.Numerics.IntegralTransforms;

namespace CaptureProc.Dsp.Tests.Delay;

public sealed class FractionalDelayTests
{
    private const int Frames = 4000;

    // A phase error of 0.9π · 0.00003 samples and 0.0002 dB leave 1.1e-4 of a sine at the edge of the band, and far less below it;
    // 24 lines of 1/24 add up to at most a fifth of that. Rounding (6e-8) does not count beside it.
    private const double InterpolationTolerance = 2e-5;

    public static TheoryData<double> Delays => [0, 0.001, 0.1, 0.25, 0.5, 0.75, 0.999, 1, 7, 33.3, 812.37, 1439.999];

    [Theory]
    [MemberData(nameof(Delays))]
    public void DelayedSinesAreTheSinesAtEarlierTimes(double delaySamples)
    {
        var tone = new BandLimitedTone(seed: 1);
        var delay = new FractionalDelay(1, delaySamples, maxDelaySamples: 1440, maxBlockFrames: 256);
        var output = ProcessorContract.Run(delay, [tone.Sample(Frames)], new Cutter(256));
        var expected = tone.Sample(Frames, delaySamples + delay.LatencyFrames);
        // From where the filter lies within the signal, not half on the silence before it.
        var settled = (int)Math.Ceiling(delaySamples) + FractionalDelayKernel.TapCount;
        for (var n = settled; n < Frames; n++)
            Assert.Equal(expected[n], output[0][n], InterpolationTolerance);
    }

    [Theory]
    [InlineData(0.3)]
    [InlineData(-0.3)]
    [InlineData(-1000)]
    [InlineData(-500.123)]
    [InlineData(33)]
    [InlineData(32.999)]
    [InlineData(1234.5)]
    [InlineData(0)]
    public void ConstantDelayShiftsByExactlyWhatWasAskedOnceItsLatencyIsDropped(double delaySamples)
    {
        var tone = new BandLimitedTone(seed: 2);
        var delay = new ConstantDelay(1, delaySamples, maxBlockFrames: 500);
        var output = ProcessorContract.Run(delay, [tone.Sample(Frames)], new Cutter(500));
        var trimmed = output[0].AsSpan(delay.LatencyFrames);
        var settled = (int)Math.Max(0, Math.Ceiling(delaySamples) + FractionalDelayKernel.TapCount);
        for (var n = settled; n < trimmed.Length; n++)
            Assert.Equal(tone.At(n - delaySamples), trimmed[n], InterpolationTolerance);
    }

    // Source: MathNet.Numerics 5.0.0, Fourier. A periodic signal without content above 0.9 of the band is shifted by turning the phase of
    // each bin; nothing of ours takes part in the expected values.
    [Theory]
    [MemberData(nameof(Delays))]
    public void PeriodicNoiseMatchesThePhaseShiftOfItsSpectrum(double delaySamples)
    {
        const int Period = 2000;
        var random = new Random(3);
        var spectrum = new Complex[Period];
        for (var k = 1; k <= Period / 2 * 0.9; k++)
        {
            spectrum[k] = Complex.FromPolarCoordinates(random.NextDouble(), 2 * Math.PI * random.NextDouble());
            spectrum[^k] = Complex.Conjugate(spectrum[k]);
        }

        var delay = new FractionalDelay(1, delaySamples, maxDelaySamples: 1440, maxBlockFrames: 100);
        var period = Time(spectrum, 0);
        var shifted = Time(spectrum, delaySamples + delay.LatencyFrames);
        var output = ProcessorContract.Run(delay, [[.. period, .. period]], new Cutter(100));
        for (var n = 0; n < Period; n++)
            // Noise with a peak near 1 spreads its power over the whole band: the error is a small part of that of its upper edge.
            Assert.Equal(shifted[n], output[0][Period + n], InterpolationTolerance);

        static float[] Time(Complex[] spectrum, double delay)
        {
            var turned = new Complex[Period];
            for (var k = 0; k < Period; k++)
                turned[k] = spectrum[k] * Complex.FromPolarCoordinates(1, -2 * Math.PI * (k <= Period / 2 ? k : k - Period) * delay / Period);
            MathNet.Numerics.IntegralTransforms.Fourier.Inverse(turned, FourierOptions.AsymmetricScaling);
            return Array.ConvertAll(turned, x => (float)(x.Real * Period / 50));
        }
    }

    [Fact]
    public void WholeDelayReturnsTheVerySamples()
    {
        var input = Signals.Noise(2, Frames, seed: 4);
        var delay = new FractionalDelay(2, 17, maxDelaySamples: 100, maxBlockFrames: 64);
        var output = ProcessorContract.Run(delay, input, new Cutter(64));
        for (var channel = 0; channel < 2; channel++)
            Assert.Equal(input[channel].AsSpan(0, Frames - 50), output[channel].AsSpan(50));
    }

    [Theory]
    [InlineData(0.37)]
    [InlineData(50.37)]
    public void OfflineAndRealTimeGiveTheSameNumbers(double delaySamples)
    {
        var input = Signals.Noise(1, Frames, seed: 5);
        var live = new FractionalDelay(1, delaySamples, maxDelaySamples: 100, maxBlockFrames: 64);
        var offline = new ConstantDelay(1, delaySamples, maxBlockFrames: 500);
        var a = ProcessorContract.Run(live, input, new Cutter(64))[0].AsSpan(live.LatencyFrames);
        var b = ProcessorContract.Run(offline, input, new Cutter(500))[0].AsSpan(offline.LatencyFrames);
        // The fraction is computed in two ways, and so differs in the last bits of a double: at most a rounding step of a tap.
        for (var n = 0; n < Frames - 100; n++)
            Assert.Equal(a[n], b[n], 1e-6);
    }

    // Expected: the sines at both delays, mixed by a straight line: no other amplitude, no other pitch, no jump.
    [Fact]
    public void ChangeWhilePlayingIsALinearFadeBetweenTwoDelays()
    {
        const int Fade = 700;
        const int Change = 1000;
        var tone = new BandLimitedTone(seed: 6);
        var input = tone.Sample(Frames);
        var delay = new FractionalDelay(1, 12.25, maxDelaySamples: 100, maxBlockFrames: 250, crossfadeFrames: Fade);
        var output = new float[Frames];
        foreach (var (start, frames) in new Cutter(250).Cut(Frames))
        {
            if (start == Change)
                delay.SetDelay(55.6);
            delay.Process(new ReadOnlyPlanarSpan([input], start, frames), new PlanarSpan([output], start, frames));
        }

        for (var n = 200; n < Frames; n++)
        {
            var weight = Math.Clamp((n - Change) / (double)Fade, 0, 1);
            var late = n - delay.LatencyFrames;
            var expected = (1 - weight) * tone.At(late - 12.25) + weight * tone.At(late - 55.6);
            Assert.Equal(expected, output[n], InterpolationTolerance);
        }
    }

    [Fact]
    public void ChangesDuringAFadeWaitAndTheLastOneCounts()
    {
        const int Fade = 300;
        var tone = new BandLimitedTone(seed: 7);
        var input = tone.Sample(Frames);
        var delay = new FractionalDelay(1, 0, maxDelaySamples: 100, maxBlockFrames: 100, crossfadeFrames: Fade);
        var output = new float[Frames];
        foreach (var (start, frames) in new Cutter(100).Cut(Frames))
        {
            if (start == 1000)
                delay.SetDelay(10.5);
            if (start == 1100)
                delay.SetDelay(90);
            if (start == 1200)
                delay.SetDelay(20.75);
            delay.Process(new ReadOnlyPlanarSpan([input], start, frames), new PlanarSpan([output], start, frames));
        }

        for (var n = 200; n < Frames; n++)
        {
            var late = n - delay.LatencyFrames;
            var (first, second) = (Math.Clamp((n - 1000) / (double)Fade, 0, 1), Math.Clamp((n - 1300) / (double)Fade, 0, 1));
            var expected = (1 - first) * tone.At(late) + (first - second) * tone.At(late - 10.5) + second * tone.At(late - 20.75);
            Assert.Equal(expected, output[n], InterpolationTolerance);
        }
    }

    [Theory]
    [InlineData(-0.1)]
    [InlineData(100.1)]
    [InlineData(double.NaN)]
    public void DelaysOutOfRangeAreRefused(double delaySamples)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new FractionalDelay(1, delaySamples, 100, 64));
        Assert.Throws<ArgumentOutOfRangeException>(() => new FractionalDelay(1, 1, 100, 64).SetDelay(delaySamples));
    }
}
