using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.Placement;

public class PlaneWaveShareTests
{
    private static readonly Vector3D[] Players = [.. new Direction[] { new(-50, -10), new(-15, 5), new(20, -20), new(60, 0) }.Select(d => d.ToUnitVector())];

    [Theory]
    [InlineData(-12)]
    [InlineData(-6)]
    [InlineData(0)]
    [InlineData(9)]
    public void MeanExplainedIsThatOfManyDraws(double ratioDb)
    {
        var chance = new SeededRandom(7);
        var sum = 0.0;
        const int draws = 20000;
        for (var i = 0; i < draws; i++)
            sum += Draw(Players[0], ratioDb, chance).Explained(Players[0]) / draws;

        // The share scatters by less than 0.25, so its mean over 20,000 draws by 0.002.
        Assert.Equal(PlaneWaveShare.MeanExplained(4 * Math.Pow(10, ratioDb / 10)), sum, 0.006);
    }

    [Theory]
    [InlineData(1, -6)]
    [InlineData(1, 6)]
    [InlineData(4, -6)]
    [InlineData(4, 0)]
    [InlineData(4, 6)]
    public void PlayersWhoTakeTurnsOverFrequencyAreToldFromADiffuseRoom(int players, double ratioDb)
    {
        var chance = new SeededRandom(8);
        var bins = new FieldMoments[600];
        for (var k = 0; k < bins.Length; k++)
            bins[k] = Draw(Players[k % players], ratioDb, chance);

        // The grid of directions is 20° wide and fits a little of the room as well: +0.9 dB at -6 dB.
        Assert.Equal(ratioDb, 10 * Math.Log10(PlaneWaveShare.DirectToRest(bins)!.Value), 1.2);
    }

    [Fact]
    public void SilenceHasNoRatio() => Assert.Null(PlaneWaveShare.DirectToRest(new FieldMoments[600]));

    /// <summary>One bin: a plane wave of any level and phase, and a diffuse field in fixed proportion.</summary>
    private static FieldMoments Draw(Vector3D u, double ratioDb, SeededRandom chance)
    {
        var room = Math.Pow(10, -ratioDb / 20) / Math.Sqrt(2);
        var velocity = room / Math.Sqrt(3);
        var level = Math.Pow(10, chance.Uniform(-1, 1));
        var bin = new FieldMoments();
        bin.Add(level * (1 + room * chance.Gaussian()), level * room * chance.Gaussian(),
            level * (u.Y + velocity * chance.Gaussian()), level * velocity * chance.Gaussian(),
            level * (u.Z + velocity * chance.Gaussian()), level * velocity * chance.Gaussian(),
            level * (u.X + velocity * chance.Gaussian()), level * velocity * chance.Gaussian());
        return bin;
    }
}
