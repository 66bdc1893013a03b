using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;
using static CaptureProc.Analysis.Tests.Placement.SyntheticField;

namespace CaptureProc.Analysis.Tests.Placement;

/// <summary>Diffuseness against its closed forms: ψ = 1 − |⟨I⟩|/(c⟨E⟩) of fields that are sums of known ones.</summary>
public class DiffusenessTests
{
    private static readonly Vector3D Left = new Direction(70, 15).ToUnitVector();

    [Fact]
    public void APlaneWaveIsNotDiffuse()
    {
        var result = Hear(AddPlaneWave(Silent(6), Left, 0.1, new SeededRandom(1)), Plain());

        // Samples are float: the velocities are 1e-7 off at most.
        Assert.All(result.Bands, band => Assert.Equal(0, band.Diffuseness!.Value, 1e-5));
        Assert.Equal(4, result.Bands.Count);
    }

    [Fact]
    public void AnIsotropicFieldIsDiffuseThroughout()
    {
        var result = Hear(AddDiffuse(Silent(30), 0.1, new SeededRandom(2)), Plain());

        // The chance of 30 s leaves |I|² = ±0.3/(bandwidth × frames' time): its root is below 0.06 at 250 Hz.
        Assert.All(result.Bands, band => Assert.InRange(band.Diffuseness!.Value, 0.93, 1));
        Assert.InRange(result.Diffuseness!.Value, 0.97, 1);
    }

    [Theory]
    [InlineData(6)]
    [InlineData(0)]
    [InlineData(-6)]
    public void AWaveInADiffuseFieldReadsTheShareOfTheField(double ratioDb)
    {
        var chance = new SeededRandom(3);
        var field = AddDiffuse(AddPlaneWave(Silent(20), Left, 0.1 * Math.Pow(10, ratioDb / 20), chance), 0.1, chance);

        // |I| = D and E = D + R, so ψ = R/(D + R).
        var expected = 1 / (1 + Math.Pow(10, ratioDb / 10));
        Assert.All(Hear(field, Plain()).Bands, band => Assert.Equal(expected, band.Diffuseness!.Value, 0.03));
    }

    [Fact]
    public void OppositeWavesOfEqualPowerPassForADiffuseField()
    {
        var chance = new SeededRandom(4);
        var field = AddPlaneWave(AddPlaneWave(Silent(20), Left, 0.1, chance), -Left, 0.1, chance);

        // A limit of the definition, not of the estimate: the flows cancel.
        Assert.InRange(Hear(field, Plain()).Diffuseness!.Value, 0.95, 1);
    }

    [Fact]
    public void TheArrayAddsNoDiffusenessOfItsOwnInTheBandsThatAreUsed()
    {
        // A far source in free air through four capsules of the simulator, which shares no formula with the encoder.
        var array = new SceneArray("main", new Vector3D(30, 30, 30), new CapsuleArray(SceneGenerator.Tetrahedron, 0.0147, 0.5, Rotation3D.Identity));
        var noise = new double[(int)(6 * SampleRateHz)];
        var chance = new SeededRandom(5);
        for (var n = 0; n < noise.Length; n++)
            noise[n] = chance.Gaussian();
        foreach (var direction in new Direction[] { new(0, 0), new(45, 35.26), new(110, -50) })
        {
            var scene = new Scene(new Room(new(60, 60, 60), 1), SampleRateHz, 6, 5)
            {
                Arrays = [array],
                Sources = [new SceneSource("far", array.CentreM + 12 * direction.ToUnitVector())],
                Programme = [new ProgrammeEvent(0, "far", BandLimit.Apply(noise))],
                FreeField = true,
            };
            var bands = Hear(SceneRenderer.Render(scene).Channels, Tetrahedron()).Bands;
            // 0.02 would be a direct share of 98 %, 17 dB over the rest; in the top octave the array ends at 12 dB.
            Assert.All(bands.SkipLast(1), band => Assert.InRange(band.Diffuseness!.Value, -1e-6, 0.02));
            Assert.InRange(bands[^1].Diffuseness!.Value, -1e-6, 0.06);
        }
    }
}
