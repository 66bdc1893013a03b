using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Analysis.Program;

/// <summary>One pass over a recording: windows of every spot against the converted W, read later by a given lag for each spot.</summary>
/// <remarks>Thread: one. Hann windows that overlap by half; a window in which the spot is 50 dB below its loudest says nothing and is left out.</remarks>
public sealed class CrossSpectra
{
    public const int Stretches = 12;

    private const double SilenceDb = -50;

    private readonly IFrameSource source;
    private readonly SlateInput input;
    private readonly double[] lags;
    private readonly RealFft<double> fft;
    private readonly double[] window;
    private readonly (double[] Re, double[] Im)[] encoder;
    private readonly SpotSpectra[] spots;
    private readonly double[] loudest;
    private readonly JointSpectra? joint;

    public CrossSpectra(IFrameSource source, SlateInput input, int windowFrames, double[] lagFrames, bool isJoint = false)
    {
        (this.source, this.input, lags, WindowFrames) = (source, input, lagFrames, windowFrames);
        fft = new RealFft<double>(windowFrames);
        window = new double[windowFrames];
        for (var n = 0; n < windowFrames; n++)
            window[n] = 0.5 - 0.5 * Math.Cos(2 * Math.PI * (n + 0.5) / windowFrames);
        encoder = EncodeToW(input, fft);
        spots = [.. input.Spots.Select(_ => new SpotSpectra(Stretches, fft.BinCount))];
        loudest = new double[input.Spots.Count];
        joint = isJoint ? new JointSpectra(input.Spots.Count, fft.BinCount) : null;
    }

    /// <summary>All spots against each other and W; only where asked for, and with equal lags.</summary>
    public JointSpectra Joint => joint ?? throw new InvalidOperationException("The joint spectra were not asked for.");

    public int WindowFrames { get; }

    public SpotSpectra Spot(int index) => spots[index];

    public void Accumulate(Action<double> progress)
    {
        var hop = WindowFrames / 2;
        var windows = Math.Max(0, (source.FrameCount - WindowFrames) / hop + 1);
        // Spots that read the array at the same lag share its spectrum; in the first pass that is all of them.
        var groups = Enumerable.Range(0, lags.Length).GroupBy(i => lags[i]).ToArray();
        var reader = new WindowReader(source, window);
        var w = new Spectrum(fft.BinCount);
        Spectrum[] heard = [.. lags.Select(_ => new Spectrum(fft.BinCount))];
        (double[] Re, double[] Im)[] together = [.. heard.Append(w).Select(s => (s.Re, s.Im))];
        for (long i = 0; i < windows; i++)
        {
            var stretch = (int)(i * Stretches / windows);
            foreach (var group in groups)
            {
                ReadW(reader, i * hop + (long)group.Key, w);
                foreach (var index in group)
                {
                    ReadSpot(reader, i * hop, index, heard[index]);
                    if (IsHeard(index, heard[index]))
                        spots[index].Stretch(stretch).Add(w.Re, w.Im, heard[index].Re, heard[index].Im);
                }
            }
            joint?.Add(together);
            progress((double)(i + 1) / windows);
        }
    }

    private void ReadW(WindowReader reader, long frame, Spectrum w)
    {
        w.Clear();
        for (var i = 0; i < encoder.Length; i++)
        {
            reader.Read(frame, input.ArraySet.Channels[i], input.ArraySet.Gains[i]);
            w.AddProduct(fft, reader.Samples, encoder[i]);
        }
    }

    private void ReadSpot(WindowReader reader, long frame, int index, Spectrum spot)
    {
        spot.Clear();
        var set = input.Spots[index].Set;
        for (var i = 0; i < set.Channels.Count; i++)
        {
            reader.Read(frame, set.Channels[i], set.Gains[i]);
            spot.Add(fft, reader.Samples);
        }
    }

    private bool IsHeard(int index, Spectrum spot)
    {
        var power = spot.Power();
        loudest[index] = Math.Max(loudest[index], power);
        return power > 0 && power >= loudest[index] * Math.Pow(10, SilenceDb / 10);
    }

    // W's filters with their latency taken out; the few taps that come to lie before time 0 wrap round, under the window's edge.
    private static (double[] Re, double[] Im)[] EncodeToW(SlateInput input, RealFft<double> fft)
    {
        var filter = EncoderDesign.Design(input.Array, input.SampleRateHz, input.SpeedOfSoundMps, Correction.Full);
        var spectra = new (double[], double[])[filter.Inputs];
        var taps = new double[fft.Size];
        for (var i = 0; i < filter.Inputs; i++)
        {
            Array.Clear(taps);
            var source = filter.Taps(0, i);
            for (var n = 0; n < source.Length; n++)
                taps[(n - filter.LatencyFrames + fft.Size) % fft.Size] = source[n];
            var (re, im) = (new double[fft.BinCount], new double[fft.BinCount]);
            fft.Forward(taps, re, im);
            spectra[i] = (re, im);
        }
        return spectra;
    }

    private sealed class WindowReader(IFrameSource source, double[] window)
    {
        private readonly float[]?[] slots = new float[]?[source.ChannelCount];
        private readonly float[] raw = new float[window.Length];

        public double[] Samples { get; } = new double[window.Length];

        public void Read(long frame, int channel, double gain)
        {
            slots[channel] = raw;
            source.Read(frame, slots, raw.Length);
            slots[channel] = null;
            for (var n = 0; n < raw.Length; n++)
                Samples[n] = raw[n] * window[n] * gain;
        }
    }

    private sealed class Spectrum(int bins)
    {
        private readonly double[] partRe = new double[bins];
        private readonly double[] partIm = new double[bins];

        public double[] Re { get; } = new double[bins];

        public double[] Im { get; } = new double[bins];

        public void Clear()
        {
            Array.Clear(Re);
            Array.Clear(Im);
        }

        public void Add(RealFft<double> fft, double[] samples)
        {
            fft.Forward(samples, partRe, partIm);
            for (var k = 0; k < Re.Length; k++)
                (Re[k], Im[k]) = (Re[k] + partRe[k], Im[k] + partIm[k]);
        }

        public void AddProduct(RealFft<double> fft, double[] samples, (double[] Re, double[] Im) filter)
        {
            fft.Forward(samples, partRe, partIm);
            for (var k = 0; k < Re.Length; k++)
            {
                Re[k] += partRe[k] * filter.Re[k] - partIm[k] * filter.Im[k];
                Im[k] += partRe[k] * filter.Im[k] + partIm[k] * filter.Re[k];
            }
        }

        public double Power()
        {
            var sum = 0.0;
            for (var k = 0; k < Re.Length; k++)
                sum += Re[k] * Re[k] + Im[k] * Im[k];
            return sum;
        }
    }
}
