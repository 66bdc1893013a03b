using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>When and how loud a channel hears a click.</summary>
/// <param name="Sample">Sample of the excerpt at which the click begins, right to a few samples.</param>
/// <param name="Peak">Largest size within the next milliseconds.</param>
/// <param name="AboveBackground">Largest short-time energy of the whitened channel over that of its background.</param>
/// <param name="Compactness">Share of the energy of the first 60 ms that falls into its four loudest stretches of 2 ms: near 1 for claps.</param>
public readonly record struct SpotOnset(int Sample, double Peak, double AboveBackground, double Compactness)
{
    /// <summary>The same energy ratio within the milliseconds that <see cref="Peak"/> is taken from, whatever comes later.</summary>
    public double AttackAboveBackground { get; init; }

    // Whitened energy over 19 samples at 48 kHz exceeds 4 times its mean by chance about once in 10^10.
    private const double LeastAbove = 4;

    /// <summary>A clap's attack is the first that comes this near to the loudest (−10 dB): of several hands, one may be late and loud.</summary>
    private const double ShareOfAttack = 0.1;

    /// <summary>It begins where the energy has risen to this share (−16 dB) …</summary>
    private const double ShareOfMaximum = 0.025;

    /// <summary>… and does not fall below it for longer than this. What comes sooner is no part of it: fingers that slide before they snap, a floor that knocks first.</summary>
    private const double LongestGapSeconds = 0.0015;

    /// <summary>Null where nothing stands out of the background.</summary>
    public static SpotOnset? Find(double[] excerpt, double sampleRateHz)
    {
        var white = PredictionError.Of(excerpt.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom)).Apply(excerpt);
        var (from, to) = (Excerpts.Quiet, Excerpts.Before + (int)(0.09 * sampleRateHz));
        var background = 1e-30;
        for (var n = Excerpts.QuietFrom; n < Excerpts.Quiet; n++)
            background += white[n] * white[n] / (Excerpts.Quiet - Excerpts.QuietFrom);

        var reach = (int)(0.0002 * sampleRateHz);
        var energy = new double[to];
        var sum = 0.0;
        for (var n = from - 2 * reach - 1; n < to; n++)
        {
            sum += white[n] * white[n];
            energy[n] = sum;
        }
        var loudest = 0.0;
        for (var n = to - 1; n >= from; n--)
        {
            energy[n] = (energy[n] - energy[n - 2 * reach - 1]) / (background * (2 * reach + 1));
            loudest = Math.Max(loudest, energy[n]);
        }
        if (loudest < LeastAbove)
            return null;

        var onset = from;
        while (energy[onset] < Math.Max(LeastAbove, ShareOfAttack * loudest))
            onset++;
        var least = Math.Max(LeastAbove, ShareOfMaximum * loudest);
        var gap = (int)(LongestGapSeconds * sampleRateHz);
        for (var n = onset - 1; n >= Math.Max(from, onset - gap); n--)
            if (energy[n] >= least)
                onset = n;
        // The energy at n looks back over 2·reach samples, and the first of them are still background.
        onset -= reach;
        var (peak, attack) = (0.0, 0.0);
        for (var n = onset; n < onset + (int)(0.005 * sampleRateHz); n++)
        {
            peak = Math.Max(peak, Math.Abs(excerpt[n]));
            attack = Math.Max(attack, n >= from && n < to ? energy[n] : 0);
        }
        return new SpotOnset(onset, peak, loudest, CompactnessOf(white, onset, background, sampleRateHz)) { AttackAboveBackground = attack };
    }

    // Stretches anywhere, not the first ones: of two claps that were meant as one, the second may be the louder.
    private static double CompactnessOf(double[] white, int onset, double background, double sampleRateHz)
    {
        const int stretches = 30;
        const int loudest = 4;
        var length = (int)(0.002 * sampleRateHz);
        var energies = new double[stretches];
        var all = 0.0;
        for (var i = 0; i < stretches; i++)
        {
            for (var n = onset + i * length; n < onset + (i + 1) * length; n++)
                energies[i] += white[n] * white[n] - background;
            all += energies[i];
        }
        Array.Sort(energies);
        var top = 0.0;
        for (var i = stretches - loudest; i < stretches; i++)
            top += energies[i];
        return all > 0 ? Math.Clamp(top / all, 0, 1) : 1;
    }
}
