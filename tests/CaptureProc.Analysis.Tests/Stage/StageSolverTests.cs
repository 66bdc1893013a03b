using System.Collections.Concurrent;
using CaptureProc.Analysis.Stage;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Tests.Stage;

/// <summary>The solver against geometry: stages are drawn, times are lengths over the speed of sound, and nothing else is known to it.</summary>
public sealed class StageSolverTests
{
    private static readonly int[] Sizes = [5, 6, 8, 10, 12];

    [Fact]
    public void PlacesAreRightToFiveCentimetresInTheMedianAndFifteenAt95PercentOnTheFloor()
    {
        var errors = Over(new StageRanges(), 50, 1000, (trial, stage) => Enumerable.Range(0, trial.Spots.Count).Select(s => StageTrial.FloorErrorM(stage.Spots[s], trial.Spots[s]))
            .Concat(Enumerable.Range(0, trial.Claps.Count).Select(c => StageTrial.FloorErrorM(stage.Claps[c], trial.Claps[c]))));
        Say($"places: median {At(errors, 0.5):0.000} m, 95 % {At(errors, 0.95):0.000} m, worst {errors[^1]:0.00} m of {errors.Count}");
        Assert.True(At(errors, 0.5) < 0.05, $"median {At(errors, 0.5)}");
        Assert.True(At(errors, 0.95) < 0.15, $"95 % {At(errors, 0.95)}");
    }

    [Fact]
    public void EllipsesHoldTheTruePlaceIn92To98Of100Cases()
    {
        var held = Over(new StageRanges(), 50, 2000, (trial, stage) => Enumerable.Range(0, trial.Spots.Count).Select(s => StageTrial.Holds(stage.Spots[s], trial.Spots[s]) ? 1.0 : 0));
        Say($"ellipses hold {held.Average():0.000} of {held.Count}");
        // 410 spots: the share itself is known to 1.1 points, one sigma.
        Assert.InRange(held.Average(), 0.91, 0.99);
    }

    [Fact]
    public void ReflectionsTakenForDirectSoundAreLeftOutIn95Of100CasesWithFourOthersWhetherAtASpotOrAtTheArray()
    {
        var ranges = new StageRanges { ReflectionShare = 0.08, ArrayReflectionShare = 0.08 };
        var found = Over(ranges, 40, 3000, (trial, stage) => stage.Times.Where(t => trial.False.Contains((t.Clap, t.Microphone))
            && stage.Times.Count(o => o.Clap == t.Clap && o.Microphone != t.Microphone && o.IsUsed) >= 4).Select(t => t.IsUsed ? 0.0 : 1));
        var lost = Over(ranges, 40, 3000, (trial, stage) => stage.Times.Where(t => !trial.False.Contains((t.Clap, t.Microphone))).Select(t => t.IsUsed ? 0.0 : 1));
        Say($"false arrivals left out: {found.Average():0.000} of {found.Count}; true ones lost: {lost.Average():0.0000} of {lost.Count}");
        Assert.True(found.Average() >= 0.95, $"{found.Average()}");
        Assert.True(lost.Average() < 0.01, $"{lost.Average()}");
    }

    [Fact]
    public void AnArrayThatHearsAReflectionFirstIsContradictedByTheOthersAndNoOtherArrayIs()
    {
        var late = new ConcurrentBag<(bool IsFalse, StageCheck Check)>();
        Over(new StageRanges { ArrayReflectionShare = 0.1, Spots = 8 }, 30, 4000, (trial, stage) =>
        {
            for (var clap = 0; clap < trial.Claps.Count; clap++)
                late.Add((trial.False.Contains((clap, 0)), StageCheck.Of(stage, clap, 1, clap)));
            return [];
        }, [8]);
        var (wrong, right) = (late.Where(l => l.IsFalse).ToList(), late.Where(l => !l.IsFalse).ToList());
        Say($"reflections at the array: {wrong.Count(w => w.Check.Contradicts)} of {wrong.Count} contradicted; true arrivals contradicted: {right.Count(r => r.Check.Contradicts)} of {right.Count}; {right.Count(r => r.Check.Judge(0.9) > 0.95)} of them made sure");
        // Some twenty cases: one or two that are hardly later than the direct sound may stay.
        Assert.True(wrong.Count(w => w.Check.Judge(0.99) < 0.95) >= 0.9 * wrong.Count, $"{wrong.Count(w => w.Check.Judge(0.99) < 0.95)} of {wrong.Count}");
        Assert.True(right.Count(r => r.Check.Contradicts) <= 0.01 * right.Count);
        // It has to help too: most arrivals that were in doubt are borne out.
        Assert.True(right.Count(r => r.Check.Judge(0.9) > 0.95) > 0.8 * right.Count);
    }

    [Fact]
    public void AForgottenSpotGetsADelayWithinOneAndAHalfMillisecondsFromItsPlace()
    {
        var errors = new ConcurrentBag<double>();
        Parallel.For(0, 40, i =>
        {
            var trial = new StageTrial(5000 + (ulong)i, new StageRanges { Spots = Sizes[i % Sizes.Length] });
            var stage = StageSolver.Solve(trial.Without(0))!;
            // Half a metre from the microphone, on the side on which the player was drawn.
            var player = trial.Spots[0] + 0.5 * (trial.Players[0] - trial.Spots[0]).Normalised();
            var (seconds, sigma) = HalfMetre.DelayOf(stage.Spots[0], StageTrial.SpeedMps);
            var error = Math.Abs(seconds - (player.Length - 0.5) / StageTrial.SpeedMps);
            errors.Add(error);
            Assert.True(error < 3 * sigma);
        });
        Say($"forgotten clap: {errors.Count(e => e < 0.0015)} of {errors.Count} within 1.5 ms, worst {1000 * errors.Max():0.00} ms");
        Assert.True(errors.Count(e => e < 0.0015) >= 0.95 * errors.Count);
    }

    [Fact]
    public void AFurtherArrayIsPlacedToFiveCentimetresAndItsTurnToOneAndAHalfDegrees()
    {
        var (places, turns, wrongWords) = (new ConcurrentBag<double>(), new ConcurrentBag<double>(), new ConcurrentBag<double>());
        Over(new StageRanges { FurtherArrays = 1, ReflectionShare = 0.03 }, 24, 6000, (trial, stage) =>
        {
            places.Add((stage.Arrays[0].Place.PositionM - trial.Arrays[0]).Length);
            turns.Add((stage.Arrays[0].Turn * trial.Turns[0].Inverse()).ToAxisAngle().AngleDeg);
            if (trial.Turns[0].Apply(Vector3D.Up).Z < 0 != (stage.Arrays[0].InWords()?.Contains("head down", StringComparison.Ordinal) == true))
                wrongWords.Add(stage.Arrays[0].TiltDeg);
            return [];
        }, [8, 10, 12]);
        Say($"second array: place median {At([.. places.Order()], 0.5):0.000} m, worst {places.Max():0.00}; turn median {At([.. turns.Order()], 0.5):0.00}°, worst {turns.Max():0.0}");
        Assert.True(At([.. places.Order()], 0.5) < 0.05);
        Assert.True(At([.. turns.Order()], 0.9) < 1.5);
        Assert.True(wrongWords.Count <= 1, $"{wrongWords.Count} of {turns.Count} not told head down from upright");
    }

    [Fact]
    public void ATapedDistanceTellsTheSpeedOfSoundWithinItsUncertainty()
    {
        var off = new ConcurrentBag<double>();
        Over(new StageRanges { Spots = 8 }, 20, 7000, (trial, _) =>
        {
            // The thermometer is 12 degrees off; the tape is not.
            var input = trial.Input with { SpeedOfSoundMps = 350, Taped = [new TapedDistance(0, trial.Spots[0].Length, 0.005)] };
            var speed = StageSolver.Solve(input)!.Speed;
            Assert.InRange(speed.SigmaMps, 0.1, 6);
            off.Add((speed.Mps - StageTrial.SpeedMps) / speed.SigmaMps);
            return [];
        }, [8]);
        Assert.True(off.Count(o => Math.Abs(o) < 2) >= 0.85 * off.Count, string.Join(", ", off));
    }

    // Microphones in metres and times of the direct sound in seconds of one loudspeaker in a measured room: dEchorate (MIT licence),
    // recipes/room_geometry_estimation/data_rooge.mat, with the speed of sound stated there.
    private static readonly Vector3D Source = new(1.991, 4.498, 1.424);

    private static readonly (Vector3D Place, double Seconds)[] Room =
    [
        (new(0.8577, 3.9099, 1.039), 0.003911), (new(0.8169, 2.2441, 0.98), 0.007465), (new(2.1827, 1.7263, 1.163), 0.008189),
        (new(3.3425, 2.3575, 1.31), 0.007452), (new(3.7715, 3.9647, 0.91), 0.005683), (new(3.1296, 3.3723, 1.46), 0.004673),
        (new(0.895, 3.9243, 1.039), 0.003803), (new(0.8032, 2.2065, 0.98), 0.007578), (new(2.2181, 1.7076, 1.163), 0.008252),
        (new(3.3639, 2.3913, 1.31), 0.00741), (new(3.7439, 3.9357, 0.91), 0.005634), (new(3.0974, 3.396, 1.46), 0.004558),
    ];

    [Fact]
    public void TheLoudspeakerOfAMeasuredRoomIsFoundFromItsTwelveMicrophonesToFiveCentimetresOnTheFloor()
    {
        double[] exact = [1e-6, 0, 0, 1e-6, 0, 1e-6];
        var origin = Room[0].Place;
        var clap = new StageClap(null, [.. Room.Select((m, i) => new HeardTime(i, m.Seconds, 5e-5))], []);
        var input = new StageInput(1, Room.Length - 1, [clap], 345.844)
        {
            Known = [.. Room.Skip(1).Select((m, i) => new KnownPlace(i, new StagePlace(m.Place - origin, exact)))],
        };
        var found = StageSolver.Solve(input)!.Claps[0].PositionM + origin;
        // All microphones stand between 0.9 and 1.5 m: they tell the height of a source at 1.4 m badly, and the times are right to 0.13 ms.
        var onFloor = ((found - Source) with { Z = 0 }).Length;
        Say($"measured room: {found} for {Source}, {onFloor:0.000} m off on the floor, {(found - Source).Length:0.000} m in all");
        Assert.True(onFloor < 0.05, $"{found}");
    }

    private static List<double> Over(StageRanges ranges, int stages, ulong firstSeed, Func<StageTrial, StageResult, IEnumerable<double>> look, int[]? sizes = null)
    {
        var all = new ConcurrentBag<double>();
        Parallel.For(0, stages, i =>
        {
            var trial = new StageTrial(firstSeed + (ulong)i, ranges with { Spots = (sizes ?? Sizes)[i % (sizes ?? Sizes).Length] });
            foreach (var value in look(trial, StageSolver.Solve(trial.Input)!))
                all.Add(value);
        });
        return [.. all.Order()];
    }

    private static double At(List<double> sorted, double share) => sorted[(int)(share * (sorted.Count - 1))];

    private static void Say(FormattableString line) => TestContext.Current.SendDiagnosticMessage(FormattableString.Invariant(line));
}
