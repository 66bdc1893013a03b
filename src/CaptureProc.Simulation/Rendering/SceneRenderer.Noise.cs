using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Rendering;

// How loud the noise is: it is set against the direct sound of the clicks, which is rendered alone for the purpose.
public sealed partial class SceneRenderer
{
    private void AddNoise(Receiver receiver, double[][] own)
    {
        if (scene.Noise is not { } noise)
            return;
        var rms = NoiseRmsInW(receiver, noise, own) * receiver.NoisePerWNoise;
        for (var i = 0; i < own.Length; i++)
            NoiseSounds.Add(own[i], rms, noise.PinkShare, scene.SampleRateHz, chance.Fork($"noise of {receiver.Id} {i}"));
    }

    /// <summary>Noise RMS in W of an array or in a mono spot, for the wanted ratio to the clicks it is meant for.</summary>
    private double NoiseRmsInW(Receiver receiver, NoiseFloor noise, double[][] own)
    {
        var (sumDb, count) = (0.0, 0);
        for (var i = 0; i < clickSounds.Length; i++)
            if (receiver.SourceId is null || receiver.SourceId == scene.Clicks[i].SourceId)
            {
                sumDb += Gain.ToDb(DirectPeak(receiver, i));
                count++;
            }
        if (count > 0)
            return Gain.FromDb(sumDb / count - noise.SignalToNoiseDb);

        // A spot whose click is missing is as noisy as if a clap of level 0 had been there.
        if (clickSounds.Length > 0)
            return receiver.PressureFromOwnSource(scene) * Gain.FromDb(-noise.SignalToNoiseDb);

        // Music alone: the programme itself is the reference.
        var square = 0.0;
        foreach (var sample in own[0])
            square += sample * sample;
        return Math.Sqrt(square / Math.Max(1, own[0].Length)) * Gain.FromDb(-noise.SignalToNoiseDb);
    }

    /// <summary>Peak of the direct sound of a click in the W of a receiver, or in a mono spot.</summary>
    private double DirectPeak(Receiver receiver, int click)
    {
        var source = scene.Source(scene.Clicks[click].SourceId);
        var probe = receiver.Capsules.Length == 1 ? receiver.Capsules[0]
            : new Capsule(receiver.CentreM, receiver.Capsules[0].Look, Pattern: 1);
        var distanceFrames = (probe.PositionM - source.PositionM).Length / scene.Room.SpeedOfSoundMps * scene.SampleRateHz;
        var response = new double[(int)distanceFrames + 8 * BandLimitedImpulse.ReachFrames];
        probe.Respond([ImageField.Direct(source.PositionM, source.Radiation, receiver.CentreM)], scene.Room, scene.SampleRateHz, response);
        var heard = new double[response.Length + clickSounds[click].Length];
        Convolution.Add(clickSounds[click], response, heard, 0);
        return Peak.Of(heard);
    }
}
