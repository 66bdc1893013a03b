using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests;

/// <summary>Two players in a hall ahead of the array, one with a tetrahedral spot: a session that a slate was measured into, and the music they rehearse.</summary>
public sealed class Rehearsal : IDisposable
{
    public const double ReverberationSeconds = 0.9;
    public const double Seconds = 12;

    private readonly TemporaryFolder folder = new();

    public Rehearsal()
    {
        Start("measured.json");
        var array = SessionStore.Read(Session).MainArray().ToCapsuleArray();
        var centre = new Vector3D(4.5, 4.9, 2);
        var (harp, oboe) = (centre + new Vector3D(1.6, 0.9, -0.8), centre + new Vector3D(1.6, -0.9, -0.7));
        var hall = new Scene(new Room(new(14, 10, 6), ReverberationSeconds), 48000, 3.2, 21)
        {
            Arrays = [new SceneArray("main", centre, array)],
            Sources = [new SceneSource("harp", harp), new SceneSource("oboe", oboe)],
            Spots = [new SceneSpot("harp", "harp", harp + new Vector3D(0.2, 0.3, 0.3)), new SceneSpot("oboe", "oboe", oboe + new Vector3D(0.1, -0.3, 0.4)) { Capsules = SessionStore.Read(Session).FindArray("oboe").ToCapsuleArray() }],
            Noise = new NoiseFloor(65),
        };
        var slate = SceneRenderer.Render(hall with { Clicks = [new ClickEvent(0.5, "harp"), new ClickEvent(1.9, "oboe")] });
        Slate = Write("slate.wav", slate.Channels);
        TrueRatioDb = slate.Truth.Clicks.Average(c => c.DirectToReverberantDb);
        DistanceM = slate.Truth.Spot("harp").ArrayDistanceM;
        Music = SceneRenderer.Render(hall with { DurationSeconds = Seconds, Programme = [Play("harp", MusicKind.Plucked), Play("oboe", MusicKind.Blown)] }).Channels;
        Take = Write("rehearsal.wav", Music);
        Measured = CommandLine.Run("measure", Session, Slate, "--json");
    }

    public string Session => folder.File("measured.json");

    public string Slate { get; }

    public string Take { get; }

    public float[][] Music { get; }

    /// <summary>Direct over everything later, mean of both players in dB, at all frequencies alike.</summary>
    public double TrueRatioDb { get; }

    public double DistanceM { get; }

    /// <summary>What 'measure' said.</summary>
    internal CommandLine Measured { get; }

    /// <summary>A session that nothing was measured into.</summary>
    public string Start(string name)
    {
        Assert.Equal(0, CommandLine.Run("start", folder.File(name), "--array", "main=1-4", "--spot", "harp=5", "--spot", "oboe=6-9", "--preset", "oboe=tetra-12mm-cardioid", "--replace").ExitCode);
        return folder.File(name);
    }

    public string Write(string name, float[][] channels, int rateHz = 48000)
    {
        using var output = WavOutput.Create(folder.File(name), new WavOutputFormat(rateHz, channels.Length, SampleFormat.Pcm24), replace: true);
        output.Write(channels, 0, channels[0].Length);
        output.Complete();
        return folder.File(name);
    }

    public void Dispose() => folder.Dispose();

    private static ProgrammeEvent Play(string player, MusicKind kind) =>
        new(0.1, player, MusicSounds.Make(kind, Seconds - 0.5, 180, 48000, new SeededRandom(3).Fork(player)));
}
