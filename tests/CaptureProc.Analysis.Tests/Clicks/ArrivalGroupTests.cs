using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Tests.Clicks;

/// <summary>Several claps at one spot.</summary>
public sealed class ArrivalGroupTests
{
    private const double SamplesPerMetre = 48000 / 343.2;

    [Fact]
    public void EqualClapsAreAveragedAndTheUncertaintyShrinksByTheRootOfTheirNumber()
    {
        // Errors as large as stated, so that no scatter between the claps remains: 100 ± 1 in units of the stated sigma.
        var group = ArrivalGroup.Best([Clap(99.9), Clap(100.1), Clap(100)], SamplesPerMetre);
        Assert.Equal(100, group.DelaySamples, 1e-9);
        Assert.Equal(Clap(0).Arrival.DelaySigma / Math.Sqrt(3), group.DelaySigma, 1e-9);
        Assert.Equal(0.999, group.Confidence, 1e-9);
    }

    [Fact]
    public void HandsThatMovedEnlargeTheUncertaintyToTheScatterOfTheirMean()
    {
        var group = ArrivalGroup.Best([Clap(97), Clap(100), Clap(103)], SamplesPerMetre);
        Assert.Equal(100, group.DelaySamples, 1e-9);
        // Standard error of the mean of 97, 100, 103: 3/√3.
        Assert.Equal(Math.Sqrt(3), group.DelaySigma, 0.01);
    }

    [Fact]
    public void AClapFromElsewhereIsLeftOutAndCostsConfidence()
    {
        var group = ArrivalGroup.Best([Clap(100), Clap(100.1), Clap(400)], SamplesPerMetre);
        Assert.Equal(100.05, group.DelaySamples, 1e-9);
        Assert.Equal(1, group.ContradictedBy);
        Assert.Equal(0.999 * 2 / 3, group.Confidence, 1e-9);
    }

    [Fact]
    public void ABluntArrivalDoesNotPassForScatterOfTheHands()
    {
        var group = ArrivalGroup.Best([Clap(100), Clap(104, sigma: 5)], SamplesPerMetre);
        Assert.Equal(100, group.DelaySamples, 1e-9);
        Assert.Equal(0, group.ContradictedBy);
    }

    [Fact]
    public void ClapsThatDisagreeOnTheSignLeaveThePolarityOpen()
    {
        Assert.Null(ArrivalGroup.Best([Clap(100), Clap(100, gain: -0.2)], SamplesPerMetre).Polarity);
        Assert.Equal(-1, ArrivalGroup.Best([Clap(100, gain: -0.2), Clap(100, gain: -0.2)], SamplesPerMetre).Polarity);
    }

    private static WeighedArrival Clap(double delay, double sigma = 0.1, double gain = 0.2)
    {
        var fit = new ArrivalFit(gain, 0, new double[SmoothResponse.Count]) { MeantDelaySigma = sigma, AmplitudeSigma = 0.001, ReducedChiSquare = 1 };
        return new WeighedArrival(new Arrival(delay, gain, new DirectionEstimate(Vector3D.Front, 0.01), fit, 100, 0.2, default, 0), 0.99);
    }
}
