using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>Designs the filters that make a sound field of first to third order audible as a head would hear it.</summary>
/// <remarks>
/// Thread: [main] (allocates; some tenths of a second an order). Shape: (order+1)² channels in, ACN, SN3D; left and right out.
/// Latency: <see cref="BinauralDecoder.LatencySeconds"/>, the moment when sound passes the middle of the head.
/// Level: each ear is flat in a diffuse field.
/// Errors: <see cref="InvalidDataException"/> with one sentence, for a set that leaves too much of the sphere out.
/// A few channels cannot carry what a head does at high frequencies, so something has to give. Below the crossover the decoded
/// response matches the measured one in level and phase, which keeps the time difference of the ears. Above, only the
/// level has to match, since ears stop following the phase of a wave there; the phase is free, and every direction takes
/// the one that the decoder finds easiest (magnitude least squares). At all frequencies the covariance of the two ears in a
/// diffuse field, level and coherence, is made exactly that of the head: a hall would sound dull and narrow otherwise.
/// These three wishes and a fourth, that the response be short, are met in turn, over and over: phases from the present decoder,
/// least-squares fit, mix of the ears, cut in time. Ten rounds settle it: forty more change the mean error of an octave's
/// level, over all directions, by no more than 0.1 dB.
/// Refused: plain least squares (in a diffuse field 10 dB down at 8 kHz even at third order); taking the ears' delays out of
/// the target first (at first order the level difference at 4 kHz is then off by 6 dB in the mean, 3 dB here).
/// Sources: Schörkhuber, Zaunschirm and Höldrich, Binaural rendering of Ambisonic signals via magnitude least squares, DAGA
/// 2018; Zaunschirm, Schörkhuber and Höldrich, Binaural rendering of Ambisonic signals by head-related impulse response time
/// alignment and a diffuseness constraint, J. Acoust. Soc. Am. 143(6), 2018 (both from memory).
/// </remarks>
public sealed class BinauralDesign
{
    private const int Rounds = 10;

    // A decoder follows a head of radius a up to ka = order, 620 Hz an order; ears follow the phase of a wave up to some 1.5 kHz.
    // Between the two lies what gives the least error of levels without loss of time difference on the measured set.
    private static double CrossoverHz(int order) => order switch { 1 => 800, 2 => 1200, _ => 1500 };

    // From phase to level over one octave, since a step would ring.
    private const double CrossoverOctaves = 1;

    private const double FadeInSeconds = 0.00027;
    private const double FadeOutSeconds = 0.00145;

    private readonly HeadSpectra spectra;
    private readonly RealFft<double> fft;

    public BinauralDesign(HeadResponses head)
    {
        spectra = new HeadSpectra(head);
        DiffuseEqualiser.Apply(spectra);
        fft = new RealFft<double>(spectra.FftSize);
        LatencyFrames = (int)Math.Round(BinauralDecoder.LatencySeconds * spectra.SampleRateHz);
        TapCount = LatencyFrames + 1 + (int)Math.Round(BinauralDecoder.TailSeconds * spectra.SampleRateHz);
    }

    public int LatencyFrames { get; }

    public int TapCount { get; }

    /// <summary>The decoders of first, second and third order, at the rate of the set.</summary>
    public static BinauralDecoder Design(HeadResponses head)
    {
        var design = new BinauralDesign(head);
        return new BinauralDecoder(head.Name, head.Notice, head.SampleRateHz, [design.Design(1), design.Design(2), design.Design(3)]);
    }

    public MatrixFilter Design(int order)
    {
        var decoder = new DecoderSpectra(spectra.BinCount, SphericalHarmonics.ChannelCount(order));
        var fit = new LevelFit(spectra, new FieldProjection(spectra, order), CrossoverHz(order), CrossoverOctaves);
        for (var bin = 0; bin < spectra.BinCount; bin++)
            fit.Improve(decoder, bin, phasesFromBin: Math.Max(0, bin - 1));
        var filter = new MatrixFilter(HeadResponses.Ears, decoder.Channels, TapCount, LatencyFrames);
        KeepShort(decoder, filter);
        for (var round = 0; round < Rounds; round++)
        {
            for (var bin = 0; bin < spectra.BinCount; bin++)
            {
                fit.Improve(decoder, bin, phasesFromBin: bin);
                if (spectra.Mirror != null)
                    decoder.MakeSymmetric(bin);
                decoder.Mix(bin, decoder.DiffuseCovariance(bin).MixTo(spectra.DiffuseCovariance(bin)));
            }
            KeepShort(decoder, filter);
        }
        return filter;
    }

    // Cuts the responses to their length in time, writes them down as taps, and goes on with what is left of the spectra.
    private void KeepShort(DecoderSpectra decoder, MatrixFilter filter)
    {
        var (re, im, signal) = (new double[fft.BinCount], new double[fft.BinCount], new double[fft.Size]);
        for (var ear = 0; ear < HeadResponses.Ears; ear++)
        {
            for (var channel = 0; channel < decoder.Channels; channel++)
            {
                for (var bin = 0; bin < fft.BinCount; bin++)
                {
                    var value = BandEdge.Gain(bin * spectra.BinHz, spectra.SampleRateHz) * decoder[bin, ear, channel];
                    (re[bin], im[bin]) = (value.Real, value.Imaginary);
                }
                fft.Inverse(re, im, signal);
                var taps = filter.Taps(ear, channel);
                for (var n = 0; n < TapCount; n++)
                {
                    ref var sample = ref signal[(n - LatencyFrames) & (fft.Size - 1)];
                    sample *= Window(n);
                    taps[n] = (float)sample;
                }
                for (var n = TapCount; n < fft.Size; n++)
                    signal[(n - LatencyFrames) & (fft.Size - 1)] = 0;
                fft.Forward(signal, re, im);
                for (var bin = 0; bin < fft.BinCount; bin++)
                    decoder[bin, ear, channel] = new Complex(re[bin], im[bin]);
            }
        }
    }

    private double Window(int tap)
    {
        var fromStart = (tap + 0.5) / (FadeInSeconds * spectra.SampleRateHz);
        var fromEnd = (TapCount - tap - 0.5) / (FadeOutSeconds * spectra.SampleRateHz);
        return RaisedCosine(fromStart) * RaisedCosine(fromEnd);
    }

    private static double RaisedCosine(double x) => x >= 1 ? 1 : 0.5 - 0.5 * Math.Cos(Math.PI * x);
}
