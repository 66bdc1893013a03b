using System.Numerics;
using CaptureProc.Analysis;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;
using CaptureProc.Tests.Shared;
using CaptureProc.Wav;

namespace CaptureProc.SlateFigures;

/// <summary>A slate of recorded claps in a recorded room: four capsules and a spot for every clap, and the delays that are true.</summary>
/// <remarks>
/// The room is a recorded first-order response (W X Y Z, W at 1/√2). The array is four coincident cardioids made of it. The
/// loudspeaker that excited the room belongs to the source, so a spot hears its clap through the direct part of W, sooner by a
/// known number of samples, and the rest of W as the hall; the other spots hear it later and softer.
/// </remarks>
internal sealed class RecordedRoom
{
    private const int Rate = 48000;
    private const double LongestResponseSeconds = 1.2;
    private const double SecondsApart = 1.5;

    private readonly float[][] response;
    private readonly float[] direct, hall;

    private RecordedRoom(string name, float[][] response)
    {
        (Name, this.response) = (name, response);
        var w = response[0];
        var peak = w.Max(Math.Abs);
        DirectAt = Array.FindIndex(w, x => Math.Abs(x) > 0.15 * peak);
        (direct, hall) = (new float[w.Length], new float[w.Length]);
        for (var n = 0; n < w.Length; n++)
        {
            var ms = (n - DirectAt) * 1000.0 / Rate;
            var share = ms < -1.5 ? Math.Max(0, ms + 2.5) : ms < 1.5 ? 1 : Math.Max(0, (2.5 - ms) / 1.0);
            direct[n] = (float)(w[n] * (0.5 - 0.5 * Math.Cos(Math.PI * Math.Min(1, share))));
            hall[n] = w[n] - direct[n];
        }
    }

    public string Name { get; }

    public int DirectAt { get; }

    public static RecordedRoom Read(string path)
    {
        using var wav = WavInput.Open(path);
        // What comes later than this lies 20 dB and more below a clap in any hall, and the next clap has to begin.
        var frames = (int)Math.Min(wav.FrameCount, LongestResponseSeconds * Rate);
        var planar = Enumerable.Range(0, 4).Select(_ => new float[frames]).ToArray();
        wav.Read(planar, frames);
        foreach (var channel in planar)
            for (var n = 0; n < frames / 4; n++)
                channel[^(n + 1)] *= n / (frames / 4f);
        return new RecordedRoom(Path.GetFileNameWithoutExtension(path), planar);
    }

    public static CapsuleArray Array4 { get; } = new(
        [new(45, 35.2644), new(-45, -35.2644), new(135, -35.2644), new(-135, 35.2644)], 0.0001, 0.5, Rotation3D.Identity);

    /// <param name="claps">One a spot.</param>
    /// <param name="snrDb">Peak of the direct clap over RMS of the noise, in W and in the clap's own spot.</param>
    /// <param name="seed">Of delays, gains and noise.</param>
    public (float[][] Channels, double[] DelaySamples) Slate(IReadOnlyList<RecordedClap> claps, double snrDb, ulong seed)
    {
        var random = new SeededRandom(seed);
        var frames = (int)((claps.Count + 1) * SecondsApart * Rate);
        var channels = Enumerable.Range(0, 4 + claps.Count).Select(_ => new float[frames]).ToArray();
        var delays = new double[claps.Count];
        var look = Array4.LookDirections();
        var peaks = new double[channels.Length];
        for (var i = 0; i < claps.Count; i++)
        {
            delays[i] = random.Uniform(120, 900);
            var at = (int)((i + 0.6) * SecondsApart * Rate) - Spectrum.Lead;
            var spectrum = Spectrum.Of(claps[i].Samples, response[0].Length);
            var (w, x, y, z) = (spectrum.Through(response[0], 0), spectrum.Through(response[1], 0), spectrum.Through(response[2], 0), spectrum.Through(response[3], 0));
            for (var c = 0; c < 4; c++)
                for (var n = 0; n < w.Length; n++)
                    Add(channels[c], at + n, 0.5 * (Math.Sqrt(2) * w[n] + look[c].X * x[n] + look[c].Y * y[n] + look[c].Z * z[n]));
            var own = spectrum.Through(direct, -delays[i]);
            var peakW = own.Max(v => Math.Abs(v));
            for (var c = 0; c < 4; c++)
                peaks[c] = Math.Max(peaks[c], Math.Sqrt(0.5) * peakW);
            var nearGain = Math.Pow(10, random.Uniform(6, 22) / 20);
            peaks[4 + i] = nearGain * peakW;
            var tail = spectrum.Through(hall, 0);
            for (var s = 0; s < claps.Count; s++)
            {
                var gain = s == i ? nearGain : random.Uniform(0.3, 1.2);
                var heard = s == i ? own : spectrum.Through(direct, random.Uniform(-80, 500));
                var late = random.Uniform(0, 300);
                for (var n = 0; n < own.Length; n++)
                    Add(channels[4 + s], at + n, gain * heard[n]);
                for (var n = 0; n < tail.Length; n++)
                    Add(channels[4 + s], (int)(at + late) + n, 0.7 * tail[n]);
            }
        }
        for (var c = 0; c < channels.Length; c++)
        {
            // Noise of the room: pink above 100 Hz in the mean, white by a third.
            var noise = random.Fork($"noise {c}");
            var sigma = peaks[c] * Math.Pow(10, -snrDb / 20);
            var (low, mid) = (0.0, 0.0);
            for (var n = 0; n < frames; n++)
            {
                var white = noise.Gaussian();
                low = 0.98 * low + 0.18 * white;
                mid = 0.8 * mid + 0.36 * white;
                channels[c][n] += (float)(sigma * 0.8 * (0.45 * white + 0.7 * low + 0.55 * mid));
            }
        }
        return (channels, delays);
    }

    private static void Add(float[] channel, int at, double value)
    {
        if (at >= 0 && at < channel.Length)
            channel[at] += (float)value;
    }

    /// <summary>A clap's spectrum, long enough for the room.</summary>
    private sealed class Spectrum
    {
        private readonly Transform transform;
        private readonly Complex[] bins;
        private readonly int room;

        private Spectrum(float[] clap, int roomLength)
        {
            room = clap.Length + roomLength + Lead;
            transform = new Transform((int)BitOperations.RoundUpToPowerOf2((uint)room));
            bins = transform.Forward([.. clap.Select(v => (double)v)]);
        }

        /// <summary>Samples ahead of the clap's own beginning, for what comes sooner than the array hears it.</summary>
        public const int Lead = 2048;

        public static Spectrum Of(float[] clap, int roomLength) => new(clap, roomLength);

        public double[] Through(float[] response, double delaySamples)
        {
            var h = transform.Forward([.. response.Select(v => (double)v)]);
            for (var k = 0; k < h.Length; k++)
                h[k] *= bins[k] * Complex.FromPolarCoordinates(1, -transform.Omega(k) * (delaySamples + Lead));
            return transform.Inverse(h);
        }
    }
}
