using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.Clock;

/// <summary>A long take of an array, and a spot on a recorder that was started apart and runs at its own rate; a clap at head and tail.</summary>
/// <remarks>
/// Only what is read is made. The spot's frame m holds the sound of the array's frame n = (m + offset)/(1 + ε), taken from the
/// rendered scene by a windowed sinc of 128 taps in double precision, which is none of the product's.
/// </remarks>
internal sealed class TwoRecorders : IFrameSource
{
    public const int RateHz = 48_000;

    private const int HalfLength = 64;

    private static readonly CapsuleArray Capsules = new(
        [Corner(1, 1, 1), Corner(1, -1, -1), Corner(-1, 1, -1), Corner(-1, -1, 1)], 0.0147, 0.5, Rotation3D.Identity);

    private readonly (long Frame, SceneRecording Scene)[] slates;
    private readonly double drift, offset;

    public TwoRecorders(double driftPpm, double offsetFrames, double lengthSeconds, double signalToNoiseDb, ulong seed)
    {
        (drift, offset) = (driftPpm * 1e-6, offsetFrames);
        FrameCount = (long)(lengthSeconds * RateHz);
        slates = [((long)(HeadSeconds * RateHz), Clap(signalToNoiseDb, seed)), (FrameCount - 4 * RateHz, Clap(signalToNoiseDb, seed + 1000))];
    }

    public const double HeadSeconds = 6;

    /// <summary>When the claps are heard in the array, roughly.</summary>
    public (double Head, double Tail) ClapSeconds => (HeadSeconds + 1, (double)FrameCount / RateHz - 3);

    public long FrameCount { get; }

    public int ChannelCount => 5;

    public SlateInput Input { get; } = new(RateHz, 343.2, Capsules, new ChannelSet([0, 1, 2, 3], [1, 1, 1, 1]), [new SpotInput("harp", new ChannelSet([4], [1]), null)]);

    /// <summary>What has to be added to the spot at a frame of the array: by the definition of its clock.</summary>
    public double TrueDelay(double frame)
    {
        var acoustic = slates[0].Scene.Truth.Spot("harp").DelaySamples;
        return frame - ((frame - acoustic) * (1 + drift) - offset);
    }

    public void Read(long firstFrame, float[]?[] planar, int frames)
    {
        for (var channel = 0; channel < ChannelCount; channel++)
            if (planar[channel] is { } row)
                for (var i = 0; i < frames; i++)
                    row[i] = channel < 4 ? At(channel, firstFrame + i) : Between((firstFrame + i + offset) / (1 + drift));
    }

    private float At(int channel, long frame)
    {
        foreach (var (start, scene) in slates)
            if (frame >= start && frame < start + scene.FrameCount)
                return scene.Channels[channel][frame - start];
        return Hush(channel, frame);
    }

    // Noise between the slates, some 80 dB below full scale, the same whenever a frame is read.
    private static float Hush(int channel, long frame)
    {
        var bits = (ulong)(frame * 8 + channel) * 0x9E3779B97F4A7C15;
        return ((bits ^ (bits >> 29)) >> 40) * 1e-4f / (1 << 24) - 0.5e-4f;
    }

    private float Between(double frame)
    {
        var whole = (long)Math.Floor(frame);
        if (!Array.Exists(slates, s => whole >= s.Frame - HalfLength && whole < s.Frame + s.Scene.FrameCount + HalfLength))
            return Hush(4, whole);
        var sum = 0.0;
        for (var k = -HalfLength + 1; k <= HalfLength; k++)
        {
            var x = frame - whole - k;
            var window = 0.5 + 0.5 * Math.Cos(Math.PI * x / (HalfLength + 1));
            sum += At(4, whole + k) * window * (Math.Abs(x) < 1e-12 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x));
        }
        return (float)sum;
    }

    private static SceneRecording Clap(double signalToNoiseDb, ulong seed)
    {
        var place = new Vector3D(8.1, 6.2, 1.1);
        return SceneRenderer.Render(new Scene(new Room(new(14, 9, 6), 0.8), RateHz, 2.5, seed)
        {
            Arrays = [new SceneArray("main", new Vector3D(5, 4.6, 2.1), Capsules)],
            Sources = [new SceneSource("harp", place)],
            Spots = [new SceneSpot("harp", "harp", place + new Vector3D(-0.4, 0.1, 0.2))],
            Clicks = [new Simulation.Scenes.ClickEvent(1, "harp")],
            Noise = new NoiseFloor(signalToNoiseDb),
            LongestTailSeconds = 0.6,
        });
    }

    private static Direction Corner(double x, double y, double z) => Direction.Of(new Vector3D(x, y, z));
}
