using CaptureProc.Simulation.Faults;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Scenes;

/// <summary>A rendered scene with its sounds and its noise apart.</summary>
/// <remarks>
/// Thread: [any]; each recording is made anew. Noise is the microphones' own and the background; claps, programme and reverberation are sound.
/// Recorder gains, clipping, faults and the common gain come after both have been added, as at a real recorder.
/// </remarks>
public sealed class SceneStems
{
    private readonly Scene scene;
    private readonly double[][] sound, noise;
    private readonly double[] gains;
    private readonly ClippedPassage[] passages;
    private readonly IReadOnlyList<string> names;
    private readonly SceneTruth truth;

    internal SceneStems(
        Scene scene, double[][] sound, double[][] noise, double[] gains, ClippedPassage[] passages, IReadOnlyList<string> names, SceneTruth truth) =>
        (this.scene, this.sound, this.noise, this.gains, this.passages, this.names, this.truth) = (scene, sound, noise, gains, passages, names, truth);

    /// <summary>Where the spot of a click that clips is limited.</summary>
    internal readonly record struct ClippedPassage(int Channel, int Start, int End, double ByDb);

    /// <summary>The recording as the scene asks for it.</summary>
    public SceneRecording Recording() => Mix(1, truth);

    /// <summary>The same scene with its noise and background raised or lowered together.</summary>
    /// <param name="signalToNoiseDb">As in <see cref="NoiseFloor"/>. A scene without noise has none to set and is refused.</param>
    public SceneRecording At(double signalToNoiseDb)
    {
        if (scene.Noise is not { } floor)
            throw new InvalidOperationException("The scene has no noise floor whose level could be set.");
        var changeDb = signalToNoiseDb - floor.SignalToNoiseDb;
        var clicks = new List<ClickTruth>();
        foreach (var click in truth.Clicks)
            clicks.Add(click with { SignalToNoiseDb = click.SignalToNoiseDb + changeDb });
        return Mix(Gain.FromDb(-changeDb), truth with { Clicks = clicks });
    }

    private SceneRecording Mix(double noiseGain, SceneTruth mixTruth)
    {
        var channels = new double[sound.Length][];
        for (var c = 0; c < channels.Length; c++)
        {
            var channel = channels[c] = (double[])sound[c].Clone();
            for (var i = 0; i < noise[c].Length; i++)
                channel[i] += noiseGain * noise[c][i];
            foreach (var passage in passages)
                if (passage.Channel == c)
                    Clip(channel.AsSpan(passage.Start, passage.End - passage.Start), passage.ByDb);
            Gain.Apply(channel, gains[c]);
        }
        FaultyRecorder.Apply(scene.Faults, channels, scene.SampleRateHz, new SeededRandom(scene.Seed).Fork("faults"));
        return new SceneRecording(scene.SampleRateHz, ToCommonPeak(channels, 0.5), names, mixTruth);
    }

    private static void Clip(Span<double> passing, double byDb)
    {
        var limit = Peak.Of(passing) * Gain.FromDb(-byDb);
        for (var i = 0; i < passing.Length; i++)
            passing[i] = Math.Clamp(passing[i], -limit, limit);
    }

    private static float[][] ToCommonPeak(double[][] channels, double wantedPeak)
    {
        var peak = 0.0;
        foreach (var channel in channels)
            peak = Math.Max(peak, Peak.Of(channel));
        var gain = peak > 0 ? wantedPeak / peak : 1;
        var scaled = new float[channels.Length][];
        for (var c = 0; c < scaled.Length; c++)
        {
            scaled[c] = new float[channels[c].Length];
            for (var i = 0; i < scaled[c].Length; i++)
                scaled[c][i] = (float)(channels[c][i] * gain);
        }
        return scaled;
    }
}
