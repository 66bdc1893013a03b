using System.Numerics;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Tests.Clicks;

/// <summary>The fit of a first arrival on sounds that are known in closed form.</summary>
public sealed class DirectArrivalFitTests
{
    private const int Window = 300;
    private const int Ahead = 48;

    /// <summary>Two microphones that are all but the same.</summary>
    private static readonly ResponsePrior Alike = new(new double[SmoothResponse.Count], [.. Enumerable.Repeat(0.003, SmoothResponse.Count)]);

    // δ = (R₋−R₊)/(2(R₋−2R₀+R₊)) through three samples of sin(πbx)/(πbx): computed with numpy; the pull is towards the nearest sample.
    public static TheoryData<double, double, double> Parabola => new()
    {
        { 1, 0.1, -0.04898 }, { 1, 0.2, -0.09130 }, { 1, 0.3, -0.11707 }, { 1, 0.4, -0.10588 },
        { 0.5, 0.1, -0.01197 }, { 0.5, 0.25, -0.02408 }, { 0.5, 0.3, -0.02505 }, { 0.5, 0.4, -0.01958 },
        { 0.25, 0.2, -0.00522 }, { 0.25, 0.3, -0.00601 },
    };

    [Theory]
    [MemberData(nameof(Parabola))]
    public void AParabolaIsPulledToTheNearestSampleAndTheFitIsNot(double band, double delta, double bias)
    {
        var (before, at, after) = (Sinc(band, -1 - delta), Sinc(band, -delta), Sinc(band, 1 - delta));
        Assert.Equal(bias, (before - after) / (2 * (before - 2 * at + after)) - delta, 0.00001);

        Assert.Equal(0, Fit(band, (1, delta)).MeantDelay - delta, 0.02);
    }

    [Theory]
    [InlineData(1.5)]
    [InlineData(-1.5)]
    public void AReflectionLouderThanTheDirectSoundDoesNotMoveIt(double reflection)
    {
        // 1.6 ms later, as a floor; between samples, so that no tap of the model hits it.
        var fit = Fit(0.5, (1, 0.3), (reflection, 76.7));
        Assert.Equal(0.3, fit.MeantDelay, 0.03);
        Assert.Equal(1, fit.Amplitude, 0.05);
        Assert.True(fit.TailShare > 0);
    }

    [Fact]
    public void WithoutReflectionsTheFitAssumesNone() => Assert.Equal(0, Fit(0.5, (1, 0.3)).TailShare);

    [Fact]
    public void AnInvertedSpotGivesANegativeAmplitude()
    {
        var fit = Fit(0.5, (-1, 0.2));
        Assert.Equal(-1, fit.Amplitude, 0.01);
        Assert.Equal(0.2, fit.MeantDelay, 0.01);
    }

    /// <summary>Fits arrivals of given sizes and delays in faint white noise, by a pulse with a band from 250 Hz to band·24 kHz.</summary>
    private static ArrivalFit Fit(double band, params (double Size, double Delay)[] arrivals)
    {
        var fit = new DirectArrivalFit(48000);
        var click = SpotClick.Exact(Pulses(fit.Transform, band, (1, SpotClick.Onset)), fit.Transform);
        var heard = Pulses(fit.Transform, band, [.. arrivals.Select(a => (a.Size, a.Delay + SpotClick.Onset))]);
        var random = new Random(3);
        var window = new double[Window];
        for (var t = 0; t < Window; t++)
            window[t] = heard[SpotClick.Onset - Ahead + t] + 1e-4 * (random.NextDouble() - 0.5);
        var background = new double[Window];
        background[0] = 1e-8 / 12;
        var data = new ArrivalData(window, click, SpotClick.Onset - Ahead, background);
        var start = new ArrivalFit(arrivals[0].Size, 0, new double[SmoothResponse.Count]) { TailShare = 1e-3 };
        return fit.FitBest(data, start, arrivals.Max(a => Math.Abs(a.Size)), Alike)!;
    }

    private static double[] Pulses(Transform transform, double band, params (double Size, double At)[] pulses)
    {
        var bins = new Complex[transform.BinCount];
        var (low, high) = (11, (int)(band * (transform.BinCount - 1)));
        for (var k = low; k < high; k++)
        {
            // Soft edges: a sharp band rings for longer than a floor takes to answer, which no clap does.
            var level = Math.Min(1, (k - low) / 60.0) * Math.Min(1, (high - k) / (0.4 * high));
            level = 0.5 - 0.5 * Math.Cos(Math.PI * level);
            foreach (var (size, at) in pulses)
                bins[k] += Complex.FromPolarCoordinates(level * size / band, -transform.Omega(k) * at);
        }
        return transform.Inverse(bins);
    }

    private static double Sinc(double band, double x) => x == 0 ? 1 : Math.Sin(Math.PI * band * x) / (Math.PI * band * x);
}
