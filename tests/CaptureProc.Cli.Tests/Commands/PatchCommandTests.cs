using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary>Three claps around an array in a small room: what the recorder hears once every cable is in.</summary>
public sealed class ThreeClaps
{
    public ThreeClaps()
    {
        var centre = new Vector3D(3.4, 2.9, 1.6);
        SceneSource[] sources = [.. FromWhere.Select((d, i) => new SceneSource($"clap {i}", centre + 1.2 * d.ToUnitVector()))];
        using var folder = new TemporaryFolder();
        var session = folder.File("geometry.json");
        CommandLine.Run("start", session, "--array", "main=1-4");
        Channels = SceneRenderer.Render(new Scene(new Room(new Vector3D(7, 6, 3.6), 0.6), 48000, 3.5, 1)
        {
            Arrays = [new SceneArray("main", centre, SessionStore.Read(session).MainArray().ToCapsuleArray())],
            Sources = sources,
            Clicks = [.. sources.Select((s, i) => new ClickEvent(0.4 + i, s.Id))],
            Noise = new NoiseFloor(30),
        }).Channels;
    }

    public static IReadOnlyList<Direction> FromWhere { get; } = [new(3, -4), new(86, 2), new(10, 87)];

    /// <summary>In the order of the capsules.</summary>
    public float[][] Channels { get; }
}

public sealed class PatchCommandTests : IClassFixture<ThreeClaps>, IDisposable
{
    private readonly ThreeClaps claps;
    private readonly TemporaryFolder folder = new();
    private readonly string session, recording;

    public PatchCommandTests(ThreeClaps claps)
    {
        this.claps = claps;
        (session, recording) = (folder.File("session.json"), folder.File("claps.wav"));
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4").ExitCode);
    }

    public void Dispose() => folder.Dispose();

    private void Record(params int[] capsuleAndSign) =>
        Concert.WriteTake(recording, [.. capsuleAndSign.Select(c => Array.ConvertAll(claps.Channels[Math.Abs(c) - 1], s => Math.Sign(c) * s))]);

    [Fact]
    public void ARightPatchIsRightAndKeptInTheSession()
    {
        Record(1, 2, 3, 4);

        var result = CommandLine.Run("patch", session, recording, "--claps", "front,left,up", "--json");

        Assert.Equal(0, result.ExitCode);
        Assert.True((bool)result.Json["ok"]!);
        Assert.Equal(["FLU", "FRD", "BLD", "BRU"], result.Json["order"]!.AsArray().Select(o => (string)o!));
        Assert.Equal([1, 1, 1, 1], result.Json["polarity"]!.AsArray().Select(p => (int)p!));
        Assert.InRange((double)result.Json["confidence"]!, 0.95, 1);
        Assert.Empty(result.Json["problems"]!.AsArray());
        var kept = SessionStore.Read(session);
        Assert.True(kept.MainArray().Patch!.Ok);
        Assert.Equal("claps.wav", Assert.Single(kept.History[^1].Inputs).File);
    }

    [Fact]
    public void SwappedAndInvertedCablesAreSaidInWordsAndTheSessionsOrderStays()
    {
        Record(1, 3, 2, -4);

        var result = CommandLine.Run("patch", session, recording, "--claps", "front,left,up");

        Assert.Equal(1, result.ExitCode);
        Assert.Contains("swap the cables of channels 2 and 3", result.Out, StringComparison.Ordinal);
        Assert.Contains("hannel 4 is inverted", result.Out, StringComparison.Ordinal);
        var array = SessionStore.Read(session).MainArray();
        Assert.Equal(["FLU", "FRD", "BLD", "BRU"], array.Capsules.Select(c => c.Label));
        Assert.False(array.Patch!.Ok);
        Assert.Equal(["FLU", "BLD", "FRD", "BRU"], array.Patch.Order!);
    }

    [Fact]
    public void ADeadChannelIsNamedAndNoOrderIsClaimed()
    {
        Record(1, 2, 3, 4);
        Concert.WriteTake(recording, [claps.Channels[0], claps.Channels[1], new float[claps.Channels[0].Length], claps.Channels[3]]);

        var result = CommandLine.Run("patch", session, recording, "--claps", "front,left,up", "--json");

        Assert.Equal(1, result.ExitCode);
        Assert.Null(result.Json["order"]);
        Assert.Contains(result.Json["problems"]!.AsArray(), p => ((string)p!).StartsWith("channel 3 is dead", StringComparison.Ordinal));
    }

    [Fact]
    public void MissingClapsAreToldFromWrongCables()
    {
        Record(1, 2, 3, 4);

        var result = CommandLine.Run("patch", session, recording, "--claps", "front,left,up,back", "--json");

        Assert.Equal(1, result.ExitCode);
        Assert.Contains(result.Json["problems"]!.AsArray(), p => ((string)p!).Contains("only 3 are heard", StringComparison.Ordinal));
    }

    [Fact]
    public void WhatCannotBeUsedIsRefusedAndLeavesTheSessionAlone()
    {
        Record(1, 2, 3, 4);
        var before = File.ReadAllText(session);

        CommandLine.Refuses("three ways to check", "patch", session, recording, "--claps", "front", "--ambience");
        CommandLine.Refuses("'sideways' is no direction", "patch", session, recording, "--claps", "front,sideways");
        CommandLine.Refuses("has to name each of FLU,FRD,BLD,BRU once", "patch", session, recording, "--taps", "FLU,FLU,BLD,BRU");
        CommandLine.Refuses("no array 'other'", "patch", session, recording, "--array", "other");
        CommandLine.Refuses("missing.wav", "patch", session, folder.File("missing.wav"));
        Concert.WriteTake(recording, [.. claps.Channels.Take(3)]);
        CommandLine.Refuses("array 'main'", "patch", session, recording);

        Assert.Equal(before, File.ReadAllText(session));
    }
}
