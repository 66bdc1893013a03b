using System.Collections.Concurrent;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Program;
using CaptureProc.Analysis.Tests.Clicks;
using CaptureProc.Session;
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
    public void ARecordingOfASecondIsRefused()
    {
        var scene = SceneGenerator.Draw(1, new SceneRanges { SpotCount = 1 });
        var short1s = Enumerable.Range(0, 5).Select(_ => new float[48000]).ToArray();
        var refusal = Assert.Throws<UnusableInputException>(() => new ProgramMeasurement(new MemorySource(short1s), MemorySource.Describe(scene)).Measure());
        Assert.Equal("too-short", refusal.Code);
    }
}
