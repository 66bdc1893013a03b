using System.Numerics;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Simulation.Rendering;

/// <summary>The direct sound of a source as a microphone gives it: a mono spot's channel, or the W that the project's full encoder makes of an array.</summary>
/// <remarks>
/// Thread: one at a time. Shape: bins of a transform of 0.17 s. The capsules are as they were built, the encoder knows only what was promised:
/// that is what a session hears. Recorder gains are left out, since the line-up removes them; what capsules have left over is in.
/// </remarks>
internal sealed class DirectSpectra(Scene scene)
{
    private readonly RealFft<double> fft = new(scene.SampleRateHz > 50000 ? 16384 : 8192);
    private readonly Dictionary<string, Complex[][]> encoders = [];

    public double BinHz => scene.SampleRateHz / fft.Size;

    public Complex[] Of(Receiver receiver, Arrivals direct)
    {
        var sum = new Complex[fft.BinCount];
        var response = new double[fft.Size];
        for (var capsule = 0; capsule < receiver.Capsules.Length; capsule++)
        {
            receiver.Respond(capsule, direct, scene.Room, scene.SampleRateHz, response);
            var heard = Transform(response);
            for (var bin = 0; bin < sum.Length; bin++)
                sum[bin] += receiver.Nominal is null ? heard[bin] : Encoder(receiver)[capsule][bin] * heard[bin];
        }
        return sum;
    }

    /// <summary>Power of a sound in every bin; a sound longer than the transform is folded, which leaves its bins what they are.</summary>
    public double[] Power(ReadOnlySpan<double> sound)
    {
        var folded = new double[fft.Size];
        for (var i = 0; i < sound.Length; i++)
            folded[i % folded.Length] += sound[i];
        return Array.ConvertAll(Transform(folded), bin => bin.Real * bin.Real + bin.Imaginary * bin.Imaginary);
    }

    /// <summary>W from every capsule, its latency taken out.</summary>
    private Complex[][] Encoder(Receiver receiver)
    {
        if (encoders.TryGetValue(receiver.Id, out var known))
            return known;
        var filter = EncoderDesign.Design(receiver.Nominal!, scene.SampleRateHz, scene.Room.SpeedOfSoundMps, Correction.Full);
        var rows = new Complex[receiver.Capsules.Length][];
        for (var capsule = 0; capsule < rows.Length; capsule++)
        {
            var padded = new double[fft.Size];
            var taps = filter.Taps(0, capsule);
            for (var i = 0; i < taps.Length; i++)
                padded[i] = taps[i];
            rows[capsule] = Transform(padded);
            for (var bin = 0; bin < fft.BinCount; bin++)
                rows[capsule][bin] *= Complex.FromPolarCoordinates(1, 2 * Math.PI * bin * filter.LatencyFrames / fft.Size);
        }
        return encoders[receiver.Id] = rows;
    }

    private Complex[] Transform(ReadOnlySpan<double> signal)
    {
        var (re, im) = (new double[fft.BinCount], new double[fft.BinCount]);
        fft.Forward(signal, re, im);
        var bins = new Complex[re.Length];
        for (var i = 0; i < bins.Length; i++)
            bins[i] = new Complex(re[i], im[i]);
        return bins;
    }
}
