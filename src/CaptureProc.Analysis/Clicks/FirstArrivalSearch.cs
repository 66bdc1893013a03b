using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Where a spot's click reaches the reference first.</summary>
/// <param name="Lag">Whole samples by which the reference hears it later than the spot.</param>
/// <param name="Amplitude">Reference over spot, with sign; rough.</param>
/// <param name="Strongest">The same of the strongest arrival, size only.</param>
/// <param name="Significance">Amplitude over its deviation from background alone.</param>
public readonly record struct FirstArrival(int Lag, double Amplitude, double Strongest, double Significance);

/// <summary>Finds the first arrival of a click in the reference to a few samples, however strong the reflections after it.</summary>
/// <remarks>
/// Thread: [any].
/// First a matched filter for the spot's click over all lags: its maximum is an arrival, though perhaps a reflection. Then, again
/// and again, a look at the time before that arrival, with the filter cut off where the arrival begins: there is
/// nothing but background there unless something came earlier, so any excess is an earlier arrival, and no side lobe of a
/// later one can look like it. When nothing is left, the last one found was the first to come.
/// Peaks of a deconvolved response in order of time were refused: their side lobes at low signal-to-noise look like arrivals.
/// </remarks>
public static class FirstArrivalSearch
{
    /// <summary>Amplitude over deviation that chance reaches in fewer than one of a thousand searches over 8000 lags.</summary>
    public const double LeastSignificance = 5.3;

    /// <summary>Nothing weaker than this share of the strongest arrival (−22 dB) counts: a stage floor carries sound ahead of the air.</summary>
    public const double WeakestShare = 0.08;

    /// <summary>Up to here what two microphones hear of one clap is alike.</summary>
    private const double CommonHz = 4000;

    /// <summary>From here on the treble is left out.</summary>
    private const double ClearSignificance = 80;

    /// <summary>An earlier arrival has to explain this share of the sound at its place.</summary>
    private const double LeastExplained = 0.2;

    /// <summary>So long before an arrival, something much weaker is the same sound: a source of some width begins at its near edge.</summary>
    private const double OneSoundSeconds = 0.0006;

    /// <summary>What is no weaker than this share of what follows at once is an arrival of its own.</summary>
    private const double LeastOfOneSound = 0.7;

    /// <summary>A filter that has lost more of its energy than this to the cut says nothing.</summary>
    private const double LeastEnergyShare = 0.2;

    /// <param name="reference">Excerpt of the reference.</param>
    /// <param name="click">The click in the spot.</param>
    /// <param name="onset">Sample of the excerpt at which it begins in the spot.</param>
    /// <param name="sampleRateHz">Rate of the excerpt.</param>
    /// <param name="earliest">Least lag that is possible.</param>
    /// <param name="latest">Greatest lag that is possible.</param>
    /// <param name="weakestShare">See <see cref="WeakestShare"/>.</param>
    public static FirstArrival? Find(
        double[] reference, SpotClick click, int onset, double sampleRateHz, int earliest, int latest, double weakestShare = WeakestShare)
    {
        var whitener = PredictionError.Of(reference.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom));
        var (heard, white) = (whitener.Apply(reference), whitener.Apply(click.Samples));
        var plain = Find(heard, white, onset, sampleRateHz, earliest, latest, weakestShare, out var clearest);
        // Where noise decides, the whole band is needed; where it does not, what the microphones make of the treble is the greater evil.
        return clearest < ClearSignificance ? plain
            : Find(LowPassed(heard, sampleRateHz), LowPassed(white, sampleRateHz), onset, sampleRateHz, earliest, latest, weakestShare, out _) ?? plain;
    }

    private static FirstArrival? Find(
        double[] heardHere, double[] white, int onset, double sampleRateHz, int earliest, int latest, double weakestShare, out double clearest)
    {
        double[] heard = [.. heardHere];
        var lead = (int)(0.0005 * sampleRateHz);
        var template = Template(white, lead, (int)(0.006 * sampleRateHz));
        var energy = new double[template.Length + 1];
        for (var n = 0; n < template.Length; n++)
            energy[n + 1] = energy[n] + template[n] * template[n];
        clearest = 0;
        if (!(energy[^1] > 0))
            return null;
        var deviation = Deviation(heard, (int)(0.01 * sampleRateHz));
        // Lag L puts the template's first sample here + L.
        var start = onset - lead;
        earliest = Math.Max(earliest, -start);
        latest = Math.Min(latest, heard.Length - template.Length - start);

        FirstArrival? found = null;
        var strongest = 0.0;
        var end = heard.Length;
        var guard = (int)(0.0002 * sampleRateHz);
        var near = (int)(OneSoundSeconds * sampleRateHz);
        for (var round = 0; round < 40; round++)
        {
            FirstArrival? best = null;
            for (var lag = earliest; lag <= latest; lag++)
            {
                var length = Math.Min(template.Length, end - start - lag);
                if (length <= 0 || energy[length] < LeastEnergyShare * energy[^1])
                    continue;
                var sum = CholeskyFactor.Dot(template.AsSpan(0, length), heard.AsSpan(start + lag, length));
                var significance = Math.Abs(sum) / (deviation * Math.Sqrt(energy[length]));
                var amplitude = sum / energy[length];
                var least = found is { } later && later.Lag - lag < near ? LeastOfOneSound * Math.Abs(later.Amplitude) : weakestShare * strongest;
                if (significance > (best?.Significance ?? LeastSignificance) && Math.Abs(amplitude) >= least
                    && (round == 0 || Explains(sum * sum / energy[length], heard.AsSpan(start + lag, length), deviation)))
                    best = new FirstArrival(lag, amplitude, 0, significance);
            }
            if (best is not { } next)
                break;
            if (round == 0)
                (strongest, clearest) = (Math.Abs(next.Amplitude), next.Significance);
            found = next with { Strongest = strongest };
            end = onset + next.Lag - guard;
            latest = next.Lag - guard;
            // What the spot heard ahead of the attack, the array hears ahead of it too: that is no earlier arrival.
            var ahead = onset + next.Lag - SpotClick.Onset;
            for (var n = Math.Max(0, ahead); n < end; n++)
                heard[n] -= next.Amplitude * white[n - ahead];
        }
        return found;
    }

    /// <summary>Without the treble, in which two microphones hear a source that is no point unlike.</summary>
    /// <remarks>Twice a first-order low pass of the past alone: what comes later must leave no trace before it.</remarks>
    private static double[] LowPassed(double[] signal, double sampleRateHz)
    {
        var keep = Math.Exp(-2 * Math.PI * CommonHz / sampleRateHz);
        var (once, twice) = (0.0, 0.0);
        for (var n = 0; n < signal.Length; n++)
        {
            once += (1 - keep) * (signal[n] - once);
            twice += (1 - keep) * (once - twice);
            signal[n] = twice;
        }
        return signal;
    }

    /// <summary>Whether an arrival is most of what stands out of the background where it lies: what is left over of a later one is like nothing.</summary>
    private static bool Explains(double explained, ReadOnlySpan<double> heard, double deviation) =>
        explained >= LeastExplained * (CholeskyFactor.Dot(heard, heard) - heard.Length * deviation * deviation);

    /// <summary>The whitened click from a little before its onset until nearly all of its energy is through.</summary>
    private static double[] Template(double[] white, int lead, int longest)
    {
        var first = SpotClick.Onset - lead;
        var total = 0.0;
        for (var n = 0; n < lead + longest; n++)
            total += white[first + n] * white[first + n];
        var (sum, length) = (0.0, 0);
        while (length < lead + longest && sum < 0.97 * total)
        {
            sum += white[first + length] * white[first + length];
            length++;
        }
        return white.AsSpan(first, length).ToArray();
    }

    /// <summary>Of the whitened background; the loudest of its stretches, because talk before a click makes it uneven.</summary>
    private static double Deviation(double[] heard, int block)
    {
        var loudest = 1e-30;
        for (var from = Excerpts.Quiet - block; from >= Excerpts.QuietFrom; from -= block)
            loudest = Math.Max(loudest, CholeskyFactor.Dot(heard.AsSpan(from, block), heard.AsSpan(from, block)) / block);
        return Math.Sqrt(loudest);
    }
}
