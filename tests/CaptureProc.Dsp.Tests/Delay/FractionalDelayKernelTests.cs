using System.Numerics;
using CaptureProc.Dsp.Delay;

namespace CaptureProc.Dsp.Tests.Delay;

/// <summary>The frequency response, summed from the taps, against exp(−jωτ), the definition of a delay.</summary>
public sealed class FractionalDelayKernelTests
{
    private const int Frequencies = 500;
    private const double Band = 0.9 * Math.PI;

    public static TheoryData<double> Fractions => [0, 0.001, 0.1, 0.25, 0.5, 0.75, 0.999, 1];

    // The bars of the product: 0.01 dB and 0.001 samples to 0.9 of half the rate.
    [Theory]
    [MemberData(nameof(Fractions))]
    public void MagnitudeAndDelayStayWithinTheBarsToNineTenthsOfTheBand(double fraction)
    {
        var (decibels, phaseDelay, groupDelay) = Worst(fraction);
        Assert.InRange(decibels, 0, 0.01);
        Assert.InRange(phaseDelay, 0, 0.001);
        Assert.InRange(groupDelay, 0, 0.001);
    }

    // The tighter figures that the documentation of the kernel states.
    [Fact]
    public void EveryFractionKeepsTheStatedError()
    {
        for (var step = 0; step <= 64; step++)
        {
            var (decibels, phaseDelay, groupDelay) = Worst(step / 64.0);
            Assert.InRange(decibels, 0, 0.0002);
            Assert.InRange(phaseDelay, 0, 0.00003);
            Assert.InRange(groupDelay, 0, 0.0007);
        }
    }

    [Fact]
    public void WholeDelayIsASingleOne()
    {
        var taps = new float[FractionalDelayKernel.TapCount];
        foreach (var fraction in (int[])[0, 1])
        {
            FractionalDelayKernel.Fill(fraction, taps);
            for (var k = 0; k < taps.Length; k++)
                Assert.Equal(k == FractionalDelayKernel.LatencyFrames + fraction ? 1f : 0f, taps[k]);
        }
    }

    // x delayed by f and x delayed by 1 − f, read backwards, are the same filter.
    [Fact]
    public void ComplementaryFractionsAreMirrorImages()
    {
        var (taps, mirrored) = (new double[FractionalDelayKernel.TapCount], new double[FractionalDelayKernel.TapCount]);
        FractionalDelayKernel.Fill(0.3, taps);
        FractionalDelayKernel.Fill(0.7, mirrored);
        for (var k = 0; k < taps.Length; k++)
            Assert.Equal(taps[k], mirrored[^(k + 1)], 1e-15);
    }

    [Theory]
    [InlineData(-0.01)]
    [InlineData(1.01)]
    [InlineData(double.NaN)]
    public void FractionsOutsideASampleAreRefused(double fraction) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => FractionalDelayKernel.Fill(fraction, new double[FractionalDelayKernel.TapCount]));

    private static (double Decibels, double PhaseDelay, double GroupDelay) Worst(double fraction)
    {
        var taps = new float[FractionalDelayKernel.TapCount];
        FractionalDelayKernel.Fill(fraction, taps);
        var delay = FractionalDelayKernel.LatencyFrames + fraction;
        var (decibels, phaseDelay, groupDelay) = (0.0, 0.0, 0.0);
        for (var step = 1; step <= Frequencies; step++)
        {
            var omega = Band * step / Frequencies;
            // H(ω)·exp(jω·delay), and Σ (k − delay)·h[k]·… whose quotient with it is the error of the group delay.
            var (response, slope) = (Complex.Zero, Complex.Zero);
            for (var k = 0; k < taps.Length; k++)
            {
                var term = Complex.FromPolarCoordinates(taps[k], -omega * (k - delay));
                response += term;
                slope += (k - delay) * term;
            }

            decibels = Math.Max(decibels, Math.Abs(20 * Math.Log10(response.Magnitude)));
            phaseDelay = Math.Max(phaseDelay, Math.Abs(response.Phase / omega));
            groupDelay = Math.Max(groupDelay, Math.Abs((slope / response).Real));
        }

        return (decibels, phaseDelay, groupDelay);
    }
}
