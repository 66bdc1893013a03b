using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Stage;
using CaptureProc.Analysis.Tests.Clicks;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.Stage;

/// <summary>From simulated recordings to places: what the simulator placed beside what was heard.</summary>
public sealed class StageMeasurementTests
{
    private static readonly SceneRanges SixSpots = new() { SpotCount = 6, SignalToNoiseDb = 50, FarthestClickM = 5 };

    [Fact]
    public void SpotsOfASimulatedSlateAreFoundToFiveCentimetresInTheMedian()
    {
        var errors = new List<double>();
        for (var seed = 9100UL; seed < 9105; seed++)
        {
            var scene = Trial.Draw(seed, SixSpots);
            var staged = Measure(scene, []);
            for (var spot = 0; spot < 6; spot++)
                errors.Add(StageTrial.FloorErrorM(staged.Stage.Spots[spot], scene.Spots[spot].PositionM - scene.Arrays[0].CentreM));
        }
        errors.Sort();
        TestContext.Current.SendDiagnosticMessage(FormattableString.Invariant($"simulated slates: median {errors[15]:0.000} m, 95 % {errors[28]:0.000} m, worst {errors[^1]:0.00} m"));
        Assert.True(errors[15] < 0.05, $"{errors[15]}");
        Assert.True(errors[27] < 0.15, $"{errors[27]}");
    }

    [Fact]
    public void ASpotAtWhichNobodyClappedGetsADelayFromItsPlaceAndSaysSo()
    {
        for (var seed = 9200UL; seed < 9203; seed++)
        {
            var scene = Trial.Draw(seed, SixSpots);
            scene = scene with { Clicks = [.. scene.Clicks.Where(c => c.SourceId != scene.Spots[1].SourceId)] };
            var result = Measure(scene, []).Spots[1];
            var truth = SpotTruth.Of(scene, scene.Arrays[0], scene.Spots[1]);
            Assert.Equal(StageMeasurement.Source, result.Source);
            Assert.Contains("nobody clapped here", result.Note, StringComparison.Ordinal);
            Assert.InRange(result.DelaySamples!.Value, truth.DelaySamples - 3 * result.DelaySigma, truth.DelaySamples + 3 * result.DelaySigma);
            Assert.Null(result.Polarity);
        }
    }

    [Fact]
    public void ASecondArrayThatHangsHeadDownIsPlacedAndNamed()
    {
        var scene = Trial.Draw(9300, SixSpots);
        var main = scene.Arrays[0];
        var place = main.CentreM + new Vector3D(-1.6, 0.7, 0.4);
        scene = scene with { Arrays = [main, new SceneArray("rear", place, main.Capsules with { Mount = Rotation3D.FromYawPitchRollDeg(0, 0, 180) })] };
        // It is stated to stand upright like the main one.
        var staged = Measure(scene, [new FurtherArray("rear", main.Capsules, new ChannelSet([4, 5, 6, 7], [1, 1, 1, 1]))]);
        var found = staged.Stage.Arrays[0];
        Assert.True((found.Place.PositionM - (place - main.CentreM)).Length < 0.1, $"{found}");
        Assert.InRange(found.AngleDeg, 177, 180);
        Assert.Contains(staged.Concerns, c => c.Contains("'rear' hangs head down", StringComparison.Ordinal));
    }

    private static StagedSlate Measure(Scene scene, IReadOnlyList<FurtherArray> further)
    {
        var source = new MemorySource(SceneRenderer.Render(scene).Channels);
        var input = MemorySource.Describe(scene);
        // The further arrays' channels come before those of the spots.
        var shift = 4 * further.Count;
        input = input with { Spots = [.. input.Spots.Select(s => s with { Set = s.Set with { Channels = [.. s.Set.Channels.Select(c => c + shift)] } })] };
        return new StageMeasurement(source, input, "main", further).Measure(new SlateMeasurement(source, input).Measure(), new StageKnowledge())!;
    }
}
