using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Disturbances;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Rendering;

// How loud the noise is: it is set against the direct sound of the clicks, which is rendered alone for the purpose.
public sealed partial class SceneRenderer
{
    private readonly Dictionary<string, double[]> hums = [];
    private readonly Dictionary<(string, int), double> peaks = [];

    /// <summary>The noise of every channel of a receiver; empty where the scene has none.</summary>
    private double[][] Noise(Receiver receiver, double[][] own)
    {
        if (scene.Noise is not { } noise)
            return scene.Background.Count == 0 ? []
                : throw new ArgumentException("A scene with a background needs a noise floor, by which the background is measured.");
        var rms = NoiseRmsInW(receiver, noise, own) * receiver.NoisePerWNoise;
        var channels = new double[own.Length][];
        for (var i = 0; i < own.Length; i++)
        {
            channels[i] = new double[frameCount];
            var stream = chance.Fork($"noise of {receiver.Id} {i}");
            if (scene.IsIdeal)
                NoiseSounds.Add(channels[i], rms, noise.PinkShare, scene.SampleRateHz, stream);
            else
                QuickNoise.Add(channels[i], rms, noise.PinkShare, stream);
        }
        for (var b = 0; b < scene.Background.Count; b++)
            AddBackground(scene.Background[b], receiver, rms, channels, $"background {b}");
        return channels;
    }

    private void AddBackground(Background background, Receiver receiver, double noiseRms, double[][] channels, string name)
    {
        var rms = noiseRms * Gain.FromDb(background.OverNoiseDb);
        var stream = chance.Fork($"{name} of {receiver.Id}");
        switch (background)
        {
            case Hum hum:
                if (!hums.TryGetValue(name, out var sound))
                    hums.Add(name, sound = BackgroundSounds.Make(hum, frameCount, scene.SampleRateHz, chance.Fork(name)));
                foreach (var channel in channels)
                {
                    var gain = rms * Gain.FromDb(stream.Uniform(-6, 6)) * (stream.Chance(0.5) ? 1 : -1);
                    for (var i = 0; i < channel.Length; i++)
                        channel[i] += gain * sound[i];
                }
                break;
            case DiffuseNoise diffuse:
                var looks = Array.ConvertAll(receiver.Capsules, capsule => capsule.Look);
                BackgroundSounds.Add(diffuse, looks, receiver.Capsules[0].Pattern, rms, channels, scene.SampleRateHz, stream);
                break;
            case Wind:
                foreach (var channel in channels)
                    BackgroundSounds.AddWind(rms, channel, scene.SampleRateHz, stream);
                break;
            default:
                throw new ArgumentException($"No such background: {background.GetType().Name}.", nameof(background));
        }
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
        if (peaks.TryGetValue((receiver.Id, click), out var peak))
            return peak;
        var place = PlaceOf(click);
        var omni = receiver.Capsules.Length > 1;
        var probe = !omni ? receiver.Capsules[0] : new Capsule(receiver.CentreM, receiver.Capsules[0].Look, Pattern: 1);
        var distanceFrames = (probe.PositionM - place.PositionM).Length / scene.Room.SpeedOfSoundMps * scene.SampleRateHz;
        var direct = new double[(int)distanceFrames + 8 * BandLimitedImpulse.ReachFrames];
        var arrivals = Direct(place, receiver);
        if (scene.IsIdeal || omni)
            probe.Respond(arrivals.Images, scene.Room, scene.SampleRateHz, direct);
        else
            receiver.Respond(0, arrivals, scene.Room, scene.SampleRateHz, direct);
        var heard = new double[direct.Length + clickSounds[click].Length];
        Convolution.Add(clickSounds[click], direct, heard, 0);
        return peaks[(receiver.Id, click)] = Peak.Of(heard);
    }
}
