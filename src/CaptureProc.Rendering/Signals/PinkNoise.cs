using System.Globalization;
using System.Numerics;

namespace CaptureProc.Rendering.Signals;

/// <summary>Pink noise to line up with, the same on every channel.</summary>
/// <remarks>
/// Shape: lines of amplitude ∝ 1/√f, some third of a hertz apart, over the IEC 61260-1 bands from 20 Hz to 20 kHz with their
/// full widths (17.8 Hz to 22.4 kHz, or as far as the rate carries), nothing outside. Exactly −3.01 dB an octave.
/// The noise repeats after <see cref="PeriodFrames"/>, and that is on purpose: the level of a whole number of periods has
/// no statistical error, so inputs that hear it one after the other can be matched to thousandths of a dB, where noise that
/// never repeats leaves 0.013 dB after 10 s at best.
/// Level: the RMS of the whole file, fades included, is exactly what was asked for.
/// </remarks>
public sealed class PinkNoise : TestSignal
{
    // Periods below about 2 s are heard as a rhythm (common knowledge, no source); longer ones need longer measurements.
    private const double ShortestPeriodSeconds = 2.5;

    // Edges of the bands at 20 Hz and 20 kHz: 1000·G^(x/3) with G = 10^0.3, half a band out.
    private static readonly double LowEdgeHz = 1000 * Math.Pow(10, -1.7 - 0.05);
    private static readonly double HighEdgeHz = 1000 * Math.Pow(10, 1.3 + 0.05);

    private readonly double[] period;
    private readonly double levelDbfs;
    private readonly ulong seed;

    /// <param name="sampleRateHz">Frames a second.</param>
    /// <param name="frameCount">Length of the file.</param>
    /// <param name="channelCount">Channels, all carrying the same noise.</param>
    /// <param name="levelDbfs">RMS on the AES17 scale.</param>
    /// <param name="crestBoundDb">Largest true peak over RMS, in dB; null leaves it to chance, as far as the headroom allows.</param>
    /// <param name="seed">Draws the phases.</param>
    /// <exception cref="ArgumentException">Level and crest factor together pass the largest true peak, or cannot be reached.</exception>
    public PinkNoise(int sampleRateHz, long frameCount, int channelCount, double levelDbfs, double? crestBoundDb, ulong seed)
        : base(sampleRateHz, frameCount, channelCount)
    {
        (this.levelDbfs, this.seed) = (levelDbfs, seed);
        var roomDb = MaxTruePeakDbtp - ToDb(RmsOf(levelDbfs));
        if (crestBoundDb > roomDb)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"noise at {levelDbfs:0.##} dBFS with a crest factor of {crestBoundDb:0.##} dB would peak at {ToDb(RmsOf(levelDbfs)) + crestBoundDb:0.##} dBTP, above {MaxTruePeakDbtp:0} dBTP; ask for a level of {MaxTruePeakDbtp - crestBoundDb - ToDb(RmsOf(0)):0.##} dBFS or less, or for a smaller crest factor"));
        var boundDb = crestBoundDb ?? roomDb;

        var frames = (int)BitOperations.RoundUpToPowerOf2((uint)Math.Ceiling(ShortestPeriodSeconds * sampleRateHz));
        var noise = new NoisePeriod(PinkLines(frames, sampleRateHz), seed);
        period = noise.Samples;
        // The lines have a power of 1 together. The part of a period at the end, and the fades, move the file's RMS by some
        // hundredths of a dB: the bound is kept for the file, so it has to be checked against the file's RMS, turn by turn.
        while (noise.TruePeak > Decibels(boundDb) * FileRms())
            if (!noise.BoundCrest(Decibels(boundDb) * FileRms()))
                throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                    $"a crest factor of {boundDb:0.##} dB cannot be reached with the spectrum kept exact; ask for {boundDb + 0.5:0.#} dB or more, or for a lower level"));

        var gain = RmsOf(levelDbfs) / FileRms();
        for (var i = 0; i < period.Length; i++)
            period[i] *= gain;
        TruePeakDbtp = ToDb(noise.TruePeak * gain);
        CrestDb = TruePeakDbtp - ToDb(RmsOf(levelDbfs));
    }

    public int PeriodFrames => period.Length;

    /// <summary>True peak over RMS.</summary>
    public double CrestDb { get; }

    public override double TruePeakDbtp { get; }

    public override string Description => string.Create(CultureInfo.InvariantCulture,
        $"pink noise, {levelDbfs:0.00} dBFS RMS, crest factor {CrestDb:0.0} dB, {Math.Max(20, LowEdgeHz):0} Hz to 20 kHz, seed {seed}, repeats every {PeriodFrames / (double)SampleRateHz:0.000} s");

    public override void Render(int channel, long firstFrame, Span<double> samples)
    {
        for (var i = 0; i < samples.Length; i++)
        {
            var frame = firstFrame + i;
            samples[i] = frame >= 0 && frame < FrameCount ? period[frame & (period.Length - 1)] * FadeAt(frame) : 0;
        }
    }

    private static double[] PinkLines(int periodFrames, int sampleRateHz)
    {
        var amplitudes = new double[periodFrames / 2 + 1];
        var power = 0.0;
        for (var k = 1; k < amplitudes.Length; k++)
        {
            var frequencyHz = (double)k * sampleRateHz / periodFrames;
            if (frequencyHz < LowEdgeHz || frequencyHz > Math.Min(HighEdgeHz, 0.495 * sampleRateHz))
                continue;
            amplitudes[k] = 1 / Math.Sqrt(frequencyHz);
            power += amplitudes[k] * amplitudes[k] / 2;
        }
        for (var k = 0; k < amplitudes.Length; k++)
            amplitudes[k] /= Math.Sqrt(power);
        return amplitudes;
    }

    // The steady middle is summed period by period, the fades frame by frame: a file of hours costs no more than one of seconds.
    private double FileRms()
    {
        var squares = new double[period.Length + 1];
        for (var i = 0; i < period.Length; i++)
            squares[i + 1] = squares[i] + period[i] * period[i];
        double Before(long frame) => frame / period.Length * squares[^1] + squares[frame & (period.Length - 1)];

        var fade = Math.Min(FrameCount / 2, (long)Math.Ceiling(FadeSeconds * SampleRateHz) + 1);
        var sum = Before(FrameCount - fade) - Before(fade);
        for (var i = 0L; i < fade; i++)
            sum += Square(i) + Square(FrameCount - 1 - i);
        return Math.Sqrt(sum / FrameCount);

        double Square(long frame)
        {
            var sample = period[frame & (period.Length - 1)] * FadeAt(frame);
            return sample * sample;
        }
    }

    private static double Decibels(double db) => Math.Pow(10, db / 20);
}
