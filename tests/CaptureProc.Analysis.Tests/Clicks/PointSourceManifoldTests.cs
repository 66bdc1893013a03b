using System.Numerics;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.Clicks;

/// <summary>What capsules hear of a point source.</summary>
public sealed class PointSourceManifoldTests
{
    private const double SpeedOfSoundMps = 343.2;
    private static readonly CapsuleArray Array = new(SceneGenerator.Tetrahedron, 0.0147, 0.5, Rotation3D.FromYawPitchRollDeg(20, -10, 5));

    [Theory]
    [InlineData(500)]
    [InlineData(2000)]
    [InlineData(8000)]
    public void FarAwayItIsThePlaneWaveOfTheEncoder(double hz)
    {
        var source = new Direction(30, 20).ToUnitVector();
        var wavenumber = 2 * Math.PI * hz / SpeedOfSoundMps;
        for (var i = 0; i < 4; i++)
        {
            var expected = PlaneWaveResponse.Evaluate(Array.LookDirections()[i], source, Array.RadiusM, Array.Pattern, wavenumber);
            // At 3 km what is left of the curvature is the radius over the distance.
            Assert.Equal(0, (At(i, source, 3000, hz) - expected).Magnitude, 2e-5);
        }
    }

    [Theory]
    // Cardioid on the axis: 20 lg|1 + (1−α)/(jkr)|, α = 0.5, c = 343, read from Eargle's eq. 4.6 for a gradient and computed for α.
    [InlineData(0.3, 100, 2.62)]
    [InlineData(0.3, 200, 0.82)]
    [InlineData(1.0, 100, 0.31)]
    public void CloseByTheProximityRiseIsThatOfTheTextbook(double distanceM, double hz, double db)
    {
        // A millimetre of radius, so that distance to the capsule and to the centre are the same.
        var array = Array with { RadiusM = 1e-6, Mount = Rotation3D.Identity };
        var bins = new Complex[2];
        new PointSourceManifold(array, 343).Fill(0, array.LookDirections()[0], distanceM, 2 * Math.PI * hz, bins);
        Assert.Equal(db, 20 * Math.Log10(bins[1].Magnitude), 0.006);
    }

    [Fact]
    public void TheResponseTurnsOnFromBinToBinWithoutLosingPhase()
    {
        var bins = new Complex[1025];
        new PointSourceManifold(Array, SpeedOfSoundMps).Fill(2, new Vector3D(0, 1, 0), 2, 2 * Math.PI * 23.4375, bins);
        Assert.Equal(0, (bins[1024] - At(2, new Vector3D(0, 1, 0), 2, 1024 * 23.4375)).Magnitude, 1e-9);
    }

    private static Complex At(int capsule, Vector3D source, double distanceM, double hz)
    {
        var bins = new Complex[2];
        new PointSourceManifold(Array, SpeedOfSoundMps).Fill(capsule, source, distanceM, 2 * Math.PI * hz, bins);
        return bins[1];
    }
}
