using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>What the spot classes do to sound, measured on the built bundle against closed forms.</summary>
[Collection(NativePlugins.Collection)]
public sealed class SpotSoundTests(NativePlugins plugins)
{
    private const double RateHz = NativePlugins.SampleRateHz;

    [Theory]
    [InlineData(-10.0)]
    [InlineData(-3.333)]
    [InlineData(0.0)]
    [InlineData(0.011)]
    [InlineData(16.924)]
    [InlineData(123.457)]
    public void DelayAndLevelHoldUpTo20Kilohertz(double delayMs)
    {
        using var effect = plugins.Start(
            "CaptureProc Spot", 512, ("Delay from", "By hand"), ("Delay by hand", delayMs.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        var expectedSamples = effect.LatencyFrames + delayMs / 1000 * RateHz;
        foreach (var frequencyHz in new[] { 50.0, 997, 5003, 10007, 15013, 20000 })
        {
            effect.Stop();
            effect.Start(RateHz, 512);
            var omega = 2 * Math.PI * frequencyHz / RateHz;
            var input = new float[16384];
            for (var n = 0; n < input.Length; n++)
                input[n] = (float)(0.5 * Math.Cos(omega * n));
            var output = Playing.Play(effect, [input], 512)[0];

            // The settled part, correlated with the sine that went in: level and phase of the response at this frequency.
            var response = Response(output, omega, first: 8192, frames: 8000) / 0.5;
            var late = Complex.FromPolarCoordinates(1, -omega * expectedSamples);
            var error = response / late;
            Assert.Equal(0, 20 * Math.Log10(error.Magnitude), 0.05);
            Assert.Equal(0, error.Phase / omega, 0.01);
        }
    }

    [Fact]
    public void LaterByAddsToTheDelay()
    {
        using var effect = plugins.Start("CaptureProc Spot", 512, ("Delay from", "By hand"), ("Delay by hand", "5"), ("Later by", "12.5"));
        var output = Playing.Play(effect, [Impulse(4000)], 512)[0];
        // 17.5 ms are 840 whole samples, so the impulse comes through as one.
        Assert.Equal(effect.LatencyFrames + 840, System.Array.FindIndex(output, sample => Math.Abs(sample) > 1e-6));
        Assert.Equal(1f, output[effect.LatencyFrames + 840]);
        Assert.Equal("17.500", NativePlugins.Text(effect, "Delay in use"));
    }

    [Fact]
    public void ChangingTheDelayWhilePlayingNeitherClicksNorChirps()
    {
        using var effect = plugins.Start("CaptureProc Spot", 128, ("Delay from", "By hand"), ("Delay by hand", "5"));
        const double frequencyHz = 1000;
        var omega = 2 * Math.PI * frequencyHz / RateHz;
        var input = new float[24000];
        for (var n = 0; n < input.Length; n++)
            input[n] = (float)(0.5 * Math.Sin(omega * n));
        var output = Playing.Play(effect, [input], _ => 128, start =>
        {
            if (start == 128 * 60)
                NativePlugins.Set(effect, "Delay by hand", "5.217");
            if (start == 128 * 120)
                NativePlugins.Set(effect, "Delay by hand", "3.9");
        })[0];

        // A sine of one frequency satisfies x[n+1] - 2cos(ω)x[n] + x[n-1] = 0, and so does any steady mix of two of them: a bent
        // pitch would not. A fade of 960 frames adds its slope times the difference of the two, 1 at most; a click adds up to 1.
        for (var n = 4000; n < output.Length - 1; n++)
            Assert.InRange(Math.Abs(output[n + 1] - 2 * Math.Cos(omega) * output[n] + output[n - 1]), 0, 1.1 / 960);
    }

    [Theory]
    [InlineData("CaptureProc Place 1", 31.2, -4)]
    [InlineData("CaptureProc Place 2", -120, 40)]
    [InlineData("CaptureProc Place 3", 10, 80)]
    public void APlacedSpotStandsWhereItsHarmonicsSay(string name, double azimuthDeg, double elevationDeg)
    {
        using var effect = plugins.Start(
            name, 512, ("Direction from", "By hand"), ("Azimuth", FormattableString.Invariant($"{azimuthDeg}")),
            ("Elevation", FormattableString.Invariant($"{elevationDeg}")), ("Gain", "-6"));
        var output = Playing.Play(effect, [Impulse(2000)], 512);
        var harmonics = new double[output.Length];
        // Checked by themselves against the ADM renderer's definition in the tests of the signal code.
        SphericalHarmonics.Evaluate(new Direction(azimuthDeg, elevationDeg), harmonics);
        for (var channel = 0; channel < output.Length; channel++)
            Assert.Equal(Math.Pow(10, -6.0 / 20) * harmonics[channel], output[channel][effect.LatencyFrames], 1e-6);
    }

    [Fact]
    public void AGainLineInDecibelsIsFollowedWithinAHundredthOfADecibel()
    {
        using var effect = plugins.Start("CaptureProc Spot", 256);
        var gain = NativePlugins.Parameter(effect, "Gain");
        var input = new float[20000];
        System.Array.Fill(input, 0.5f);
        // From -24 dB to +24 dB over 48 blocks, as a host draws it: a point at both ends of each block.
        var output = Playing.Play(effect, [input], _ => 256, start =>
        {
            effect.AddPoint(gain.Id, 0, Math.Clamp((start - 2560) / 12288.0, 0, 1));
            effect.AddPoint(gain.Id, 256, Math.Clamp((start + 256 - 2560) / 12288.0, 0, 1));
        })[0];
        for (var n = 2560; n < 2560 + 12288; n++)
            Assert.Equal(-24 + 48 * (n - 2560) / 12288.0, 20 * Math.Log10(output[n] / 0.5), 0.01);
    }

    private static Complex Response(float[] output, double omega, int first, int frames)
    {
        // A Hann window keeps the mirror image and the cut at both ends out: below -100 dB for the frequencies used here.
        var (sum, weight) = (Complex.Zero, 0.0);
        for (var n = 0; n < frames; n++)
        {
            var w = 0.5 - 0.5 * Math.Cos(2 * Math.PI * (n + 0.5) / frames);
            sum += w * output[first + n] * Complex.FromPolarCoordinates(1, -omega * (first + n));
            weight += w;
        }
        return 2 * sum / weight;
    }

    private static float[] Impulse(int frames)
    {
        var impulse = new float[frames];
        impulse[0] = 1;
        return impulse;
    }
}
