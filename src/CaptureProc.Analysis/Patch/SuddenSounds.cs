using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Analysis.Patch;

/// <summary>The first milliseconds of one clap or tap in every channel.</summary>
/// <param name="StartFrame">Where the excerpt begins.</param>
/// <param name="StrengthDb">How loud it is, all channels together, between about 1 and 5 kHz; only differences mean something.</param>
/// <param name="Re">Real part of the spectrum of each channel.</param>
/// <param name="Im">Imaginary part.</param>
internal sealed record SuddenSound(int StartFrame, double StrengthDb, double[][] Re, double[][] Im)
{
    /// <summary>Energy of a channel in a range of bins.</summary>
    public double Energy(int channel, int firstBin, int lastBin)
    {
        var sum = 0.0;
        for (var bin = firstBin; bin <= lastBin; bin++)
            sum += Re[channel][bin] * Re[channel][bin] + Im[channel][bin] * Im[channel][bin];
        return sum;
    }
}

/// <summary>Finds sudden sounds, and cuts out what reaches the array before the room does.</summary>
/// <remarks>
/// Thread: [any]. The sounds are the strongest onsets, a third of a second apart or more: who claps three times into silence makes
/// the three strongest. The excerpt lasts 3 ms from half a millisecond before the onset, under a taper: the floor answers later.
/// </remarks>
internal static class SuddenSounds
{
    // Thirty decibels below the strongest is a foot on the floor, not a clap of the same hands.
    private const double RangeDb = 30;
    private const int Most = 64;
    private const double RiseFactor = 6;
    private const double NearSeconds = 0.3;

    private const double BlockSeconds = 0.001;
    private const double ApartSeconds = 0.3;
    private const double BeforeSeconds = 0.0007;
    private const double AfterSeconds = 0.0023;

    public static int TransformSize(double sampleRateHz) =>
        (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)(0.005 * sampleRateHz));

    /// <summary>Every sudden sound that is no more than 30 dB weaker than the strongest, in the order of time.</summary>
    public static List<SuddenSound> Find(float[][] channels, double sampleRateHz)
    {
        var energies = BlockEnergies(channels, sampleRateHz, out var blockFrames);
        var background = Median(energies);
        var apart = (int)(ApartSeconds / BlockSeconds);
        var free = new bool[energies.Length];
        Array.Fill(free, true);
        var found = new List<SuddenSound>();
        var strongest = 0.0;
        while (found.Count < Most && Strongest(energies, free, 0, energies.Length) is var best and >= 0 && energies[best] > 4 * background
            && energies[best] > strongest * Math.Pow(10, -RangeDb / 10))
        {
            strongest = Math.Max(strongest, energies[best]);
            if (Rises(energies, best))
                found.Add(At(channels, sampleRateHz, energies, background, blockFrames, best));
            Array.Fill(free, false, Math.Max(0, best - apart), Math.Min(energies.Length, best + apart) - Math.Max(0, best - apart));
        }
        return [.. found.OrderBy(s => s.StartFrame)];
    }

    /// <summary>The strongest onset within 0.3 s of each of the given times, in their order; fewer where there is none.</summary>
    public static List<SuddenSound> Find(float[][] channels, double sampleRateHz, IReadOnlyList<double> atSeconds)
    {
        var energies = BlockEnergies(channels, sampleRateHz, out var blockFrames);
        var background = Median(energies);
        var free = new bool[energies.Length];
        Array.Fill(free, true);
        var found = new List<SuddenSound>();
        foreach (var seconds in atSeconds)
        {
            var first = Math.Clamp((int)((seconds - NearSeconds) / BlockSeconds), 0, energies.Length);
            var end = Math.Clamp((int)((seconds + NearSeconds) / BlockSeconds), first, energies.Length);
            if (Strongest(energies, free, first, end) is var best and >= 0 && energies[best] > 4 * background)
                found.Add(At(channels, sampleRateHz, energies, background, blockFrames, best));
        }
        return found;
    }

    private static int Strongest(double[] energies, bool[] free, int first, int end)
    {
        var best = -1;
        for (var b = first; b < end; b++)
            if (free[b] && (best < 0 || energies[b] > energies[best]))
                best = b;
        return best;
    }

    // What a hall still says of the sound before was stronger a moment ago; a new sound was not there.
    private static bool Rises(double[] energies, int block)
    {
        const int From = 80, To = 10;
        var (sum, count) = (0.0, 0);
        for (var b = Math.Max(0, block - From); b < block - To; b++, count++)
            sum += energies[b];
        return count == 0 || energies[block] > RiseFactor * sum / count;
    }

    // Back to where it begins: the first block in the last five milliseconds with a fifth of the peak.
    private static SuddenSound At(float[][] channels, double sampleRateHz, double[] energies, double background, int blockFrames, int best)
    {
        var begin = best;
        for (var b = Math.Max(0, best - 5); b < best; b++)
        {
            if (energies[b] < 0.2 * energies[best] || energies[b] < 3 * background)
                continue;
            begin = b;
            break;
        }
        return Cut(channels, begin * blockFrames, 10 * Math.Log10(energies[best] + 1e-30), sampleRateHz);
    }

    // Energy between about 1 and 5 kHz, where claps have most of theirs: four samples (at 48 kHz) against four samples eight earlier.
    private static double[] BlockEnergies(float[][] channels, double sampleRateHz, out int blockFrames)
    {
        blockFrames = Math.Max(1, (int)(BlockSeconds * sampleRateHz));
        var width = Math.Max(1, (int)Math.Round(sampleRateHz / 12000));
        var energies = new double[channels[0].Length / blockFrames];
        foreach (var channel in channels)
        {
            var (newer, older) = (0.0, 0.0);
            for (var i = 0; i < energies.Length * blockFrames; i++)
            {
                newer += channel[i] - (i >= width ? channel[i - width] : 0);
                older += (i >= 2 * width ? channel[i - 2 * width] : 0) - (i >= 3 * width ? channel[i - 3 * width] : 0);
                energies[i / blockFrames] += (newer - older) * (newer - older);
            }
        }
        return energies;
    }

    private static SuddenSound Cut(float[][] channels, int onset, double strengthDb, double sampleRateHz)
    {
        var fft = new RealFft<double>(TransformSize(sampleRateHz));
        var (before, after) = ((int)(BeforeSeconds * sampleRateHz), (int)(AfterSeconds * sampleRateHz));
        var (re, im) = (new double[channels.Length][], new double[channels.Length][]);
        for (var c = 0; c < channels.Length; c++)
        {
            var excerpt = new double[fft.Size];
            for (var n = 0; n < before + after; n++)
            {
                var frame = onset - before + n;
                if (frame < 0 || frame >= channels[c].Length)
                    continue;
                // Soft at both ends: up within the silence before, down over the last third.
                var rise = Math.Min(1, (n + 0.5) / (0.5 * before));
                var fall = Math.Min(1, (before + after - n - 0.5) / (0.33 * after));
                var (up, down) = (Math.Sin(Math.PI / 2 * rise), Math.Sin(Math.PI / 2 * fall));
                excerpt[n] = channels[c][frame] * up * up * down * down;
            }
            (re[c], im[c]) = (new double[fft.BinCount], new double[fft.BinCount]);
            fft.Forward(excerpt, re[c], im[c]);
        }
        return new SuddenSound(onset - before, strengthDb, re, im);
    }

    private static double Median(double[] values)
    {
        var sorted = (double[])values.Clone();
        Array.Sort(sorted);
        return sorted.Length == 0 ? 0 : sorted[sorted.Length / 2];
    }
}
