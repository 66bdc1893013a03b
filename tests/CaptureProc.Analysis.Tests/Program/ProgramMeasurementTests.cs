using System.Collections.Concurrent;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Program;
using CaptureProc.Analysis.Tests.Clicks;
using CaptureProc.Session;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.Program;

/// <summary>Delays from music: three players at once for 15 s in drawn rooms, each spot hearing all of them.</summary>
/// <remarks>The seeds are others than those that confidence was laid on.</remarks>
public sealed class MusicRooms
{
    private const int Scenes = 14;

    public MusicRooms()
    {
        var trials = new ConcurrentBag<Trial>();
        Parallel.For(0, Scenes, i =>
        {
            var seed = 90000 + (ulong)i;
            var scene = SceneGenerator.DrawProgramme(seed, new SceneRanges { SpotCount = 3, SignalToNoiseDb = 35 }, 15) with { LongestTailSeconds = 0.8 };
            var recording = SceneRenderer.Render(scene);
            foreach (var spot in new ProgramMeasurement(new MemorySource(recording.Channels), MemorySource.Describe(scene)).Measure())
                trials.Add(new Trial(seed, spot, recording.Truth.Spot(spot.Id)));
        });
        Trials = [.. trials];
    }

    internal IReadOnlyList<Trial> Trials { get; }
}

public sealed class ProgramMeasurementTests(MusicRooms rooms) : IClassFixture<MusicRooms>
{
    [Fact]
    public void MostSpotsAreMeasuredFromTheMusicToASmallFractionOfASample()
    {
        var measured = rooms.Trials.Where(t => t.Result.DelaySamples is not null).ToList();
        var sure = measured.Where(t => t.IsSure).ToList();
        TestContext.Current.SendDiagnosticMessage(FormattableString.Invariant(
            $"music: {measured.Count} of {rooms.Trials.Count} measured, {sure.Count} sure, median {Trial.Median(measured.Select(t => t.ErrorSamples)):0.0000} samples; sure ones: worst {sure.Max(t => t.ErrorSamples):0.000}, {sure.Count(t => !t.IsWithinThreeSigma)} beyond three sigma; direction median {Trial.Median(sure.Select(t => t.ErrorDeg)):0.00} degrees"));
        Assert.True(measured.Count >= 0.6 * rooms.Trials.Count, $"{measured.Count} of {rooms.Trials.Count}");
        Assert.True(Trial.Median(measured.Select(t => t.ErrorSamples)) < 0.05);
    }

    [Fact]
    public void OfDelaysGivenAtLeast95PercentAtMostOneInTwentyIsBeyondThreeSigma()
    {
        var sure = rooms.Trials.Where(t => t.IsSure).ToList();
        var beyond = sure.Where(t => !t.IsWithinThreeSigma).ToList();
        Assert.True(sure.Count >= 0.4 * rooms.Trials.Count, $"{sure.Count} sure");
        Assert.True(beyond.Count <= 0.05 * sure.Count, $"{beyond.Count} of {sure.Count}: {string.Join(Environment.NewLine, beyond)}");
    }

    [Fact]
    public void PolarityIsRightOrMarkedUnsure() =>
        Assert.All(rooms.Trials.Where(t => t.Result.Polarity is not null), t => Assert.True(t.Result.Polarity == t.Truth.Polarity, t.ToString()));

    [Fact]
    public void WhatCannotBeMeasuredSaysWhy() =>
        Assert.All(rooms.Trials.Where(t => t.Result.DelaySamples is null), t => Assert.NotEmpty(t.Result.Note!));

    [Fact]
    public void NoiseInAFreeFieldIsTimedToAFifthOfASample()
    {
        // Quazi 1981 for equal flat ratios S in both channels: σ = √(3(1+2S)/(8π²T·S²(f2³−f1³))); 1 s, 20 dB, 100 Hz to 10 kHz give
        // 0.0276 µs or 0.00133 samples (computed with numpy; 300 simulated trials gave 0.001295).
        Assert.Equal(0.00133, RandomSignalBound(1, 20, 100, 10000), 0.00001);
        Assert.Equal(0.01621, RandomSignalBound(1, 0, 100, 10000), 0.00001);

        const double seconds = 5;
        var squares = 0.0;
        for (var seed = 1UL; seed <= 4; seed++)
        {
            var chance = new SeededRandom(seed);
            var noise = Enumerable.Range(0, (int)(seconds * 48000)).Select(_ => chance.Gaussian()).ToArray();
            var drawn = SceneGenerator.Draw(seed, new SceneRanges { SpotCount = 1 });
            var scene = drawn with
            {
                Clicks = [], FreeField = true, DurationSeconds = seconds + 0.4, Noise = new NoiseFloor(20),
                Programme = [new ProgrammeEvent(0.2, drawn.Sources[0].Id, noise)],
                Spots = [drawn.Spots[0] with { Pattern = 1 }],
            };
            var recording = SceneRenderer.Render(scene);
            var spot = new ProgramMeasurement(new MemorySource(recording.Channels), MemorySource.Describe(scene)).Measure()[0];
            var error = spot.DelaySamples!.Value - recording.Truth.Spot(spot.Id).DelaySamples;
            squares += error * error;
        }
        // The weights end at 12 kHz.
        // The bound is a hundredth of a sample; what lies above it is the response that may lie between two microphones, which is unknown here too.
        Assert.InRange(Math.Sqrt(squares / 4), 0.2 * RandomSignalBound(seconds, 20, 90, 12000), 0.2);
    }

    private static double RandomSignalBound(double seconds, double signalToNoiseDb, double lowHz, double highHz)
    {
        var s = Math.Pow(10, signalToNoiseDb / 10);
        return 48000 * Math.Sqrt(3 * (1 + 2 * s) / (8 * Math.PI * Math.PI * seconds * s * s * (Math.Pow(highHz, 3) - Math.Pow(lowHz, 3))));
    }

    [Fact]
    public void ARecordingOfASecondIsRefused()
    {
        var scene = SceneGenerator.Draw(1, new SceneRanges { SpotCount = 1 });
        var short1s = Enumerable.Range(0, 5).Select(_ => new float[48000]).ToArray();
        var refusal = Assert.Throws<UnusableInputException>(() => new ProgramMeasurement(new MemorySource(short1s), MemorySource.Describe(scene)).Measure());
        Assert.Equal("too-short", refusal.Code);
    }
}
