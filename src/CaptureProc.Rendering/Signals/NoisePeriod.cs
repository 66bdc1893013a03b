using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Rendering.Signals;

/// <summary>One period of noise whose spectrum is given line by line: the amplitudes are exact, only the phases are drawn.</summary>
/// <remarks>
/// Thread: one at a time. Shape: Samples holds one period, a power of two of frames, that repeats without a seam.
/// Over whole periods the power in every line is exactly what was asked for: no statistical error is left. Filtered white noise,
/// the usual way, has the right spectrum only on average and needs minutes to show it.
/// The crest factor of such a sum depends on the phases alone. <see cref="BoundCrest"/> lowers it by turns of clipping the
/// peaks and putting the amplitudes back, which moves only the phases.
/// Source: Van der Ouderaa, Schoukens and Renneboog, Peak factor minimization using a time-frequency domain swapping
/// algorithm, IEEE Trans. Instrum. Meas. 37(1), 1988 (from memory).
/// </remarks>
internal sealed class NoisePeriod
{
    private const int MaxTurns = 200;

    // The wave is worked on twice as densely as its samples lie: samples alone can be clipped hard while the wave between
    // them passes the bound by more than a decibel.
    private const int Density = 2;

    // Peaks are judged eight times as densely. What still hides between, for the steepest line at 0.47 of the rate, is
    // 20·lg cos(π·0.47/8) = -0.15 dB of that line alone, which carries a hundred-thousandth of the power.
    private const int JudgedDensity = 8;

    private readonly double[] amplitudes, wave, re, im;
    private readonly RealFft<double> fft;
    private readonly RealFft<double> judge;
    private readonly double[] judgedRe, judgedIm, judgedWave;

    /// <param name="amplitudes">Amplitude of each line k/period, from k = 0 to half the period; its length is period/2 + 1.</param>
    /// <param name="seed">Draws the phases.</param>
    public NoisePeriod(double[] amplitudes, ulong seed)
    {
        this.amplitudes = amplitudes;
        var period = 2 * (amplitudes.Length - 1);
        fft = new RealFft<double>(Density * period);
        judge = new RealFft<double>(JudgedDensity * period);
        (re, im, wave) = (new double[fft.BinCount], new double[fft.BinCount], new double[fft.Size]);
        (judgedRe, judgedIm, judgedWave) = (new double[judge.BinCount], new double[judge.BinCount], new double[judge.Size]);
        Samples = new double[period];

        var chance = new SplitMix64(seed);
        for (var k = 0; k < amplitudes.Length; k++)
        {
            var (sin, cos) = Math.SinCos(2 * Math.PI * chance.Uniform());
            SetLine(k, cos, sin);
        }
        fft.Inverse(re, im, wave);
        Judge();
    }

    public double[] Samples { get; }

    /// <summary>The largest value between samples.</summary>
    public double TruePeak { get; private set; }

    /// <summary>Lowers the true peak to a bound; false where the phases do not allow it.</summary>
    public bool BoundCrest(double boundPeak)
    {
        // Turns bring the wave to the aim; between its points it still passes it a little, so the aim goes down until that fits too.
        var aim = boundPeak;
        for (var turn = 0; turn < MaxTurns; turn++)
        {
            if (TruePeak <= boundPeak)
                return true;
            if (Peak(wave) <= aim)
                aim *= 0.99;
            ClipAndRestore(aim);
            // Judging costs four times a turn: only worth it once the wave itself keeps the aim.
            if (Peak(wave) <= aim)
                Judge();
        }
        return false;
    }

    private void ClipAndRestore(double peak)
    {
        // A little further than the clip itself: what is put back raises the peaks again.
        var aim = 0.98 * peak;
        for (var i = 0; i < wave.Length; i++)
            wave[i] = Math.Clamp(wave[i], -aim, aim);
        fft.Forward(wave, re, im);
        for (var k = 0; k < re.Length; k++)
        {
            var size = Math.Sqrt(re[k] * re[k] + im[k] * im[k]);
            SetLine(k, size > 0 ? re[k] / size : 1, size > 0 ? im[k] / size : 0);
        }
        fft.Inverse(re, im, wave);
    }

    // A line of amplitude a stands in the unscaled transform as a·N/2, shared between k and N−k.
    private void SetLine(int k, double cos, double sin)
    {
        var size = k < amplitudes.Length ? amplitudes[k] * wave.Length / 2 : 0;
        (re[k], im[k]) = (size * cos, size * sin);
    }

    private void Judge()
    {
        const int scale = JudgedDensity / Density;
        for (var k = 0; k < amplitudes.Length; k++)
            (judgedRe[k], judgedIm[k]) = (scale * re[k], scale * im[k]);
        judge.Inverse(judgedRe, judgedIm, judgedWave);
        TruePeak = Peak(judgedWave);
        for (var i = 0; i < Samples.Length; i++)
            Samples[i] = wave[Density * i];
    }

    private static double Peak(ReadOnlySpan<double> samples)
    {
        var peak = 0.0;
        foreach (var sample in samples)
            peak = Math.Max(peak, Math.Abs(sample));
        return peak;
    }
}
