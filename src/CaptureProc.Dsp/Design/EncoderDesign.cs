using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Dsp.Design;

/// <summary>Designs the conversion from A-format to B-format for one array: gains or FIR filters, 4 in, 4 out.</summary>
/// <remarks>
/// Thread: [main] (allocates; some milliseconds). Shape: inputs in the order of the array's channels; outputs ACN order, SN3D,
/// in the room's frame (the mount is part of the array). Latency: MatrixFilter.LatencyFrames, the same for all outputs and
/// for a given correction and rate whatever the array, so a plug-in may redesign without changing what it reports.
/// Errors: an array that cannot resolve the field is refused with the reason (<see cref="ArrayResolution"/>).
/// The best encoder (<see cref="OptimalEncoder"/>) is sampled over frequency and transformed to impulse responses. It is
/// smooth over frequency on the scale of c/r, so its response in time is a few r/c wide on either side of zero: cutting it to
/// the length below, with a taper, costs less than the bars of the tests allow. Minimum phase would be shorter still, but
/// then the four outputs would no longer share one delay.
/// </remarks>
public static class EncoderDesign
{
    // Half lengths. Measured on the arrays of the tests, 24 samples at 48 kHz keep cardioids within 0.05 dB of the diffuse level
    // and 32 keep subcardioids within 0.07 dB down to 40 Hz; from 64 on nothing but rounding is left. Wider patterns and
    // larger arrays need the more time the weaker their gradient is, so Full doubles that once more.
    private const double FullHalfLengthSeconds = 128.0 / 48000;
    private const double LiveHalfLengthSeconds = 32.0 / 48000;

    /// <summary>The constant delay in frames of a correction at a rate.</summary>
    public static int LatencyFrames(Correction correction, double sampleRateHz) => correction switch
    {
        Correction.None => 0,
        Correction.Live => (int)Math.Ceiling(LiveHalfLengthSeconds * sampleRateHz),
        Correction.Full => (int)Math.Ceiling(FullHalfLengthSeconds * sampleRateHz),
        _ => throw new ArgumentOutOfRangeException(nameof(correction), correction, "Unknown correction."),
    };

    public static MatrixFilter Design(CapsuleArray array, double sampleRateHz, double speedOfSoundMps, Correction correction)
    {
        if (ArrayResolution.FindProblem(array) is { } problem)
            throw new ArgumentException(problem, nameof(array));
        if (!(sampleRateHz is >= 8000 and <= 768000))
            throw new ArgumentOutOfRangeException(nameof(sampleRateHz), sampleRateHz, "The sample rate has to lie between 8 and 768 kHz.");
        if (!(speedOfSoundMps is > 250 and < 450))
            throw new ArgumentOutOfRangeException(nameof(speedOfSoundMps), speedOfSoundMps, "The speed of sound has to lie between 250 and 450 m/s.");
        return correction == Correction.None ? DesignGains(array) : DesignFilters(array, sampleRateHz, speedOfSoundMps, LatencyFrames(correction, sampleRateHz));
    }

    /// <summary>As above, held back to a latency not below its own: so corrections can be exchanged while sound runs.</summary>
    public static MatrixFilter Design(
        CapsuleArray array, double sampleRateHz, double speedOfSoundMps, Correction correction, int latencyFrames)
    {
        var filter = Design(array, sampleRateHz, speedOfSoundMps, correction);
        var wait = latencyFrames - filter.LatencyFrames;
        if (wait < 0)
            throw new ArgumentOutOfRangeException(nameof(latencyFrames), latencyFrames, $"The correction itself has {filter.LatencyFrames} frames.");
        var later = new MatrixFilter(filter.Outputs, filter.Inputs, filter.TapCount + wait, latencyFrames);
        for (var output = 0; output < filter.Outputs; output++)
            for (var input = 0; input < filter.Inputs; input++)
                filter.Taps(output, input).CopyTo(later.Taps(output, input)[wait..]);
        return later;
    }

    private static MatrixFilter DesignGains(CapsuleArray array)
    {
        var inputs = array.Capsules.Count;
        var encoder = new OptimalEncoder(array, new double[OptimalEncoder.WorkspaceLength(inputs)]);
        Span<Complex> gains = new Complex[4 * inputs];
        encoder.Solve(0, keepDiffuseLevel: false, gains);
        var filter = new MatrixFilter(4, inputs, 1, 0);
        for (var output = 0; output < 4; output++)
            for (var input = 0; input < inputs; input++)
                filter.Taps(output, input)[0] = (float)gains[output * inputs + input].Real;
        return filter;
    }

    private static MatrixFilter DesignFilters(CapsuleArray array, double sampleRateHz, double speedOfSoundMps, int latency)
    {
        var inputs = array.Capsules.Count;
        // Four times the length keeps what wraps round in time far outside the part that is kept.
        var work = EncoderWorkspace.Take(inputs, (int)BitOperations.RoundUpToPowerOf2((uint)(8 * latency)));
        SampleEncoder(array, work, sampleRateHz, speedOfSoundMps);

        var filter = new MatrixFilter(4, inputs, 2 * latency + 1, latency);
        for (var output = 0; output < 4; output++)
        {
            for (var input = 0; input < inputs; input++)
            {
                work.Fft.Inverse(work.Re(output * inputs + input), work.Im(output * inputs + input), work.Response);
                var taps = filter.Taps(output, input);
                for (var n = -latency; n <= latency; n++)
                    taps[n + latency] = (float)(work.Response[n & (work.Fft.Size - 1)] * Taper(n, latency));
            }
        }
        work.GiveBack();
        return filter;
    }

    private static void SampleEncoder(CapsuleArray array, EncoderWorkspace work, double sampleRateHz, double speedOfSoundMps)
    {
        var encoder = new OptimalEncoder(array, work.Encoder);
        for (var bin = 0; bin < work.Fft.BinCount; bin++)
        {
            encoder.Solve(2 * Math.PI * bin * sampleRateHz / work.Fft.Size / speedOfSoundMps, keepDiffuseLevel: true, work.Gains);
            for (var i = 0; i < work.Gains.Length; i++)
                (work.Re(i)[bin], work.Im(i)[bin]) = (work.Gains[i].Real, work.Gains[i].Imaginary);
        }
    }

    // Flat over the inner half, so that what the array needs is not touched, then a raised cosine down to zero.
    private static double Taper(int n, int halfLength)
    {
        var x = 2.0 * Math.Abs(n) / halfLength - 1;
        return x <= 0 ? 1 : 0.5 * (1 + Math.Cos(Math.PI * x));
    }
}
