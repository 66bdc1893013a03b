using System.Collections.Concurrent;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.Clicks;

/// <summary>One spot of a simulated scene: what was measured beside what is true.</summary>
internal sealed record Trial(ulong Seed, SpotResult Result, SpotTruth Truth)
{
    /// <summary>NaN where nothing was measured.</summary>
    public double ErrorSamples => Math.Abs((Result.DelaySamples ?? double.NaN) - Truth.DelaySamples);

    public double ErrorDeg => Result.Direction is { } d ? Direction.AngleBetweenDeg(Direction.Of(d), Truth.Direction) : double.NaN;

    public bool IsSure => Result.Confidence >= SpotJudgement.Sure;

    public bool IsWithinThreeSigma => ErrorSamples <= 3 * Result.DelaySigma;

    public static IReadOnlyList<Trial> Of(Scene scene, ulong seed) => Of(scene, seed, out _);

    public static IReadOnlyList<Trial> Of(Scene scene, ulong seed, out SlateResult slate)
    {
        var recording = SceneRenderer.Render(scene);
        slate = new SlateMeasurement(new MemorySource(recording.Channels), MemorySource.Describe(scene)).Measure();
        return [.. slate.Spots.Select(spot => new Trial(seed, spot, recording.Truth.Spot(spot.Id)))];
    }

    /// <summary>Every spot of a row of drawn scenes.</summary>
    public static IReadOnlyList<Trial> OfMany(ulong firstSeed, int scenes, SceneRanges ranges, Func<Scene, Scene>? change = null)
    {
        var trials = new ConcurrentBag<Trial>();
        Parallel.For(0, scenes, i =>
        {
            var seed = firstSeed + (ulong)i;
            var scene = Draw(seed, ranges);
            foreach (var trial in Of(change is null ? scene : change(scene), seed))
                trials.Add(trial);
        });
        return [.. trials];
    }

    /// <summary>Half a second between claps and 0.3 s of hall keep a scene short; a later hall is background to the next clap.</summary>
    public static Scene Draw(ulong seed, SceneRanges ranges) =>
        SceneGenerator.Draw(seed, ranges with { SecondsBetweenClicks = 0.5 }) with { LongestTailSeconds = 0.3 };

    public static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }

    public override string ToString() => FormattableString.Invariant(
        $"seed {Seed} {Result.Id}: error {ErrorSamples:0.0000} ± {Result.DelaySigma:0.0000} samples, {ErrorDeg:0.00} ± {Result.DirectionSigmaDeg:0.00}°, confidence {Result.Confidence:0.000}, polarity {Result.Polarity} true {Truth.Polarity}; {Result.Note}");
}
