using CaptureProc.Dsp.Loudness;
using static CaptureProc.Dsp.Tests.Loudness.LoudnessSignals;

namespace CaptureProc.Dsp.Tests.Loudness;

public class TruePeakTests
{
    // EBU Tech 3341 (2023), table 1, cases 15-18; it allows +0.2/−0.4 dB.
    [Theory]
    [InlineData(4, 0)]
    [InlineData(4, 45)]
    [InlineData(6, 60)]
    [InlineData(8, 67.5)]
    public void Case15To18_HalfScaleToneReadsMinusSixWhateverThePhase(int samplesPerPeriod, double phaseDeg)
    {
        var reading = TruePeak(RateHz, Sine(RateHz, 1.0 / samplesPerPeriod, phaseDeg, 0.5, 1, fadeSeconds: 0.01)).MaxPeakDbtp;
        Assert.InRange(reading, -6.4, -5.8);
        // 0.50 of full scale is −6.0206 dB: eight points a sample leave at most 20 lg cos(π/4/8) = −0.042 dB here.
        Assert.InRange(reading, -6.0206 - 0.05, -6.0206 + 0.02);
    }

    [Fact]
    public void Case19_ToneBeyondFullScaleReadsPlusThree()
    {
        var tone = Sine(RateHz, 0.25, 45, 1.41, 1, fadeSeconds: 0.01);
        Assert.InRange(TruePeak(RateHz, tone, tone).MaxPeakDbtp, 2.6, 3.2);
    }

    /// <summary>
    /// Cases 20-23: fs/6 at half scale with one phase-continuous period of fs/4 at full scale, made at four times the rate and
    /// decimated at each of the four offsets. The document does not give the low-pass; this one is a windowed sinc of our own,
    /// so the figure to meet is the peak of that filtered signal itself, seen at the high rate.
    /// </summary>
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Case20To23_ShortPeakIsFoundAtEveryDecimationOffset(int offset)
    {
        var high = PeriodInTone();
        var filtered = LowPass(high);
        var expected = 20 * Math.Log10(filtered.Max(Math.Abs));
        Assert.InRange(expected, -0.4, 0.2);
        var low = filtered.Where((_, i) => i % 4 == offset).ToArray();
        Assert.InRange(TruePeak(RateHz, low).MaxPeakDbtp, -0.4, 0.2);
        Assert.Equal(expected, TruePeak(RateHz, low).MaxPeakDbtp, 0.15);
    }

    // 20 lg cos(π·f/(n·fs)): the most that n points a sample can miss; facts of BS.1770-5 Annex 2, Attachment 1.
    [Theory]
    [InlineData(44_100, 8)]
    [InlineData(48_000, 8)]
    [InlineData(88_200, 4)]
    [InlineData(96_000, 4)]
    [InlineData(176_400, 2)]
    [InlineData(192_000, 2)]
    public void UnderReadingStaysWithinItsBoundAtEveryRate(int rateHz, int oversampling)
    {
        Assert.Equal(oversampling, new TruePeakMeter(rateHz, 1).Oversampling);
        for (var frequency = 0.013; frequency <= 0.45 && frequency * rateHz <= 21_600; frequency += 0.0437)
            for (var phaseDeg = 0; phaseDeg <= 90; phaseDeg += 18)
            {
                var reading = TruePeak(rateHz, Sine(rateHz, frequency, phaseDeg, 1, 0.05, fadeSeconds: 0.01)).MaxPeakDbtp;
                var missed = 20 * Math.Log10(Math.Cos(Math.PI * frequency / oversampling));
                Assert.InRange(reading, missed - 0.03, 0.03);
            }
    }

    [Fact]
    public void PeakAfterTheLastSampleCountsOnceFlushed()
    {
        // Two equal samples that end the file: the waveform's top stands half-way between them, 4/π high.
        var signal = new float[64];
        signal[62] = signal[63] = 0.5f;
        Assert.Equal(20 * Math.Log10(0.5 * 4 / Math.PI), TruePeak(RateHz, signal).MaxPeakDbtp, 0.03);
    }

    [Fact]
    public void EachChannelHasItsOwnPeak()
    {
        var meter = TruePeak(RateHz, Sine(RateHz, 0.01, 0, 0.5, 0.1, 0), Sine(RateHz, 0.01, 0, 0.25, 0.1, 0), new float[4800]);
        Assert.Equal(-6.02, meter.PeakDbtp(0), 0.03);
        Assert.Equal(-12.04, meter.PeakDbtp(1), 0.03);
        Assert.Equal(double.NegativeInfinity, meter.PeakDbtp(2));
    }

    private static float[] Sine(int rateHz, double cyclesPerSample, double phaseDeg, double amplitude, double seconds, double fadeSeconds)
    {
        var signal = new float[(int)(seconds * rateHz)];
        for (var i = 0; i < signal.Length; i++)
        {
            // A tone that starts at full height rings in any interpolator; the raised cosine keeps the level alone.
            var edge = Math.Min(1, Math.Min(i, signal.Length - 1 - i) / Math.Max(1, fadeSeconds * rateHz));
            signal[i] = (float)(amplitude * (0.5 - 0.5 * Math.Cos(Math.PI * edge)) * Math.Sin(2 * Math.PI * cyclesPerSample * i + phaseDeg * Math.PI / 180));
        }
        return signal;
    }

    private static double[] PeriodInTone()
    {
        var signal = new double[4 * 4800];
        var phase = 0.0;
        for (var i = 0; i < signal.Length; i++)
        {
            // 16 points make one period of fs/4; it starts where the fs/6 tone passes zero upwards.
            var inBurst = i is >= 9600 and < 9616;
            signal[i] = (inBurst ? 1 : 0.5) * Math.Sin(phase);
            phase += 2 * Math.PI / (inBurst ? 16 : 24);
        }
        return signal;
    }

    private static float[] LowPass(double[] signal)
    {
        const int half = 256;
        var result = new float[signal.Length];
        for (var i = 0; i < signal.Length; i++)
        {
            var sum = 0.0;
            for (var k = Math.Max(-half, i - signal.Length + 1); k <= Math.Min(half, i); k++)
            {
                var x = k / 4.0 * 0.95;
                var sinc = k == 0 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x);
                sum += signal[i - k] * 0.95 / 4 * sinc * (0.5 + 0.5 * Math.Cos(Math.PI * k / (half + 1)));
            }
            var fade = Math.Min(1, Math.Min(i, signal.Length - 1 - i) / 1920.0);
            result[i] = (float)(sum * fade);
        }
        return result;
    }
}
