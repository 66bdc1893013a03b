using CaptureProc.Analysis.Placement;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.Placement;

/// <summary>The level of velocity against pressure, from fields of which it is known in closed form.</summary>
public class VelocityLevelTests
{
    private static readonly OctaveBand[] Bands = [new(500, 501.187), new(1000, 1000)];

    [Theory]
    [InlineData(0, 0.7)]
    [InlineData(0, 1)]
    [InlineData(1, 0.75)]
    [InlineData(4, 1.2)]
    public void VelocityIsTakenForWhatItIsInDiffuseFieldsAndInPlaneWaves(double directOverRest, double shading)
    {
        var chance = new SeededRandom(9);
        const double BinHz = 0.5;
        var moments = new FieldMoments[3000];
        for (var k = 0; k < moments.Length; k++)
        {
            // A diffuse field has W², and a third of it in each velocity, by chance; a plane wave from ahead the same number in W and X.
            var amplitude = Math.Exp(chance.Gaussian());
            double Hall(double power) => amplitude * Math.Sqrt(power / 2) * chance.Gaussian();
            var (direct, turned) = (amplitude * Math.Sqrt(directOverRest / 2) * chance.Gaussian(), amplitude * Math.Sqrt(directOverRest / 2) * chance.Gaussian());
            moments[k].Add(direct + Hall(1), turned + Hall(1), shading * Hall(1 / 3.0), shading * Hall(1 / 3.0),
                shading * Hall(1 / 3.0), shading * Hall(1 / 3.0), shading * (direct + Hall(1 / 3.0)), shading * (turned + Hall(1 / 3.0)));
        }

        var level = VelocityLevel.Of(moments, Bands, BinHz);

        // Five hundred bins a band tell the ratio to some per cent; what is expected pulls it a little towards 1.
        Assert.All(level.Factors, factor => Assert.InRange(factor / shading, 0.93, 1.07));
        Assert.All(level.Sigmas, sigma => Assert.InRange(sigma, 0, 0.05));
    }

    [Fact]
    public void SilenceIsTakenForAnArrayAsPromised()
    {
        var level = VelocityLevel.Of(new FieldMoments[3000], Bands, 0.5);

        Assert.All(level.Factors, factor => Assert.Equal(1, factor, 1e-6));
    }
}
