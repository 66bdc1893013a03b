using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design.Binaural;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Dsp.Binaural;

/// <summary>The filters from a sound field to two ears, for first to third order, made from one set of measured responses.</summary>
/// <remarks>
/// Thread: [main]; immutable. Shape: filters have (order+1)² inputs, ACN, SN3D, and the outputs left and right.
/// Level: each ear is flat in a diffuse field up to 20 kHz. Latency: LatencyFrames(rate), whatever the set and the order.
/// The decoder is kept at the rate of the measurement and brought to that of the session by band-limited interpolation.
/// </remarks>
public sealed class BinauralDecoder
{
    /// <summary>The delay from a field to both ears: room for the ear that hears first, and for what a short filter needs before it.</summary>
    public const double LatencySeconds = 0.001;

    // What comes later than this behind the sound is below -50 dB of a decoder's energy.
    internal const double TailSeconds = 0.0036;

    // Interpolation between samples spreads a filter by some samples; from here on they are below -100 dB of its peak.
    private const int SpreadFrames = 4;

    private readonly MatrixFilter[] filters;

    internal BinauralDecoder(string name, string notice, double sampleRateHz, MatrixFilter[] filtersByOrder) =>
        (Name, Notice, SampleRateHz, filters) = (name, notice, sampleRateHz, filtersByOrder);

    /// <summary>The set of responses that it was designed from.</summary>
    public string Name { get; }

    /// <summary>Who is to be cited, and under which terms the set may be used; empty where the set does not say.</summary>
    public string Notice { get; }

    /// <summary>The rate of the measurement.</summary>
    public double SampleRateHz { get; }

    public static int LatencyFrames(double sampleRateHz) => (int)Math.Ceiling(LatencySeconds * sampleRateHz - 1e-9);

    /// <summary>Length of every filter at a rate, whatever the set and the order, so that one can take the place of another.</summary>
    public static int TapCount(double sampleRateHz) => LatencyFrames(sampleRateHz) + 1 + (int)Math.Ceiling(TailSeconds * sampleRateHz) + SpreadFrames;

    /// <summary>The same decoder under another name.</summary>
    public BinauralDecoder WithName(string name) => new(name, Notice, SampleRateHz, filters);

    /// <summary>The same decoder with other terms of use, for sets whose own text is missing or wrong.</summary>
    public BinauralDecoder WithNotice(string notice) => new(Name, notice, SampleRateHz, filters);

    /// <summary>The filter of an order at the rate of the measurement.</summary>
    public MatrixFilter Measured(int order)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(order, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(order, SphericalHarmonics.MaxOrder);
        return filters[order - 1];
    }

    /// <summary>The filter of an order at any rate (allocates; some hundredths of a second).</summary>
    public MatrixFilter Filter(int order, double sampleRateHz)
    {
        if (!(sampleRateHz is >= 8000 and <= 768000))
            throw new ArgumentOutOfRangeException(nameof(sampleRateHz), sampleRateHz, "The sample rate has to lie between 8 and 768 kHz.");
        var measured = Measured(order);
        var latency = LatencyFrames(sampleRateHz);
        var ratio = SampleRateHz / sampleRateHz;
        var filter = new MatrixFilter(measured.Outputs, measured.Inputs, TapCount(sampleRateHz), latency);
        var spectrum = new TapSpectrum(measured.TapCount, SampleRateHz);
        for (var output = 0; output < filter.Outputs; output++)
        {
            for (var input = 0; input < filter.Inputs; input++)
            {
                spectrum.Take(measured.Taps(output, input), sampleRateHz);
                var taps = filter.Taps(output, input);
                for (var n = 0; n < taps.Length; n++)
                    taps[n] = (float)(ratio * spectrum.SampleAt((n - latency) * ratio + measured.LatencyFrames));
            }
        }
        return filter;
    }

    /// <summary>A response as a band-limited function of time: the sum of its harmonics, exact between the samples too.</summary>
    private sealed class TapSpectrum
    {
        private readonly RealFft<double> fft;
        private readonly double sampleRateHz;
        private readonly double[] signal;
        private readonly double[] re;
        private readonly double[] im;

        public TapSpectrum(int tapCount, double sampleRateHz)
        {
            // Four times the length: what wraps round in time is the spread of the interpolation alone, long decayed by then.
            fft = new RealFft<double>((int)BitOperations.RoundUpToPowerOf2((uint)(4 * tapCount)));
            this.sampleRateHz = sampleRateHz;
            (signal, re, im) = (new double[fft.Size], new double[fft.BinCount], new double[fft.BinCount]);
        }

        public void Take(ReadOnlySpan<float> taps, double targetRateHz)
        {
            signal.AsSpan().Clear();
            for (var n = 0; n < taps.Length; n++)
                signal[n] = taps[n];
            fft.Forward(signal, re, im);
            for (var bin = 0; bin < fft.BinCount; bin++)
            {
                // The design has ended the band below half its own rate already; a lower rate has to end it anew.
                var edge = targetRateHz < sampleRateHz ? BandEdge.Gain(bin * sampleRateHz / fft.Size, targetRateHz) : 1;
                var gain = edge * (bin == 0 || bin == fft.BinCount - 1 ? 1 : 2) / fft.Size;
                (re[bin], im[bin]) = (gain * re[bin], gain * im[bin]);
            }
        }

        // Clenshaw's recurrence: one complex multiplication a harmonic in place of a sine and a cosine.
        public double SampleAt(double sample)
        {
            var (sin, cos) = Math.SinCos(2 * Math.PI * sample / fft.Size);
            double sumRe = 0, sumIm = 0;
            for (var bin = fft.BinCount - 1; bin >= 0; bin--)
                (sumRe, sumIm) = (sumRe * cos - sumIm * sin + re[bin], sumRe * sin + sumIm * cos + im[bin]);
            return sumRe;
        }
    }
}
