using CaptureProc.Analysis.Fitting;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What the four capsules of the array made of one click, against one another: a test of the array itself.</summary>
/// <remarks>
/// Thread: [any]. Where wavelengths are long against the array, capsules of cardioid kind hear every sound the same way round, and
/// none of them stays silent through claps from several sides. So a capsule that goes against the sum of the others is inverted, and one
/// that hears nothing of any clap is dead. Two capsules that are swapped cannot be told from claps: a swap is a mirror image of the whole
/// array, and hears a mirror image of the room. That takes claps from known sides, or taps: see Patch.
/// </remarks>
/// <param name="Energies">Of every capsule in the first milliseconds of the direct sound.</param>
/// <param name="Agreement">Correlation of every capsule with the sum of the others, −1 to 1.</param>
public sealed record CapsuleCheck(double[] Energies, double[] Agreement)
{
    private const double SpanSeconds = 0.003;

    /// <summary>Below this, a capsule that is spaced from the others by some centimetres still hears what they hear.</summary>
    private const double LongWaveHz = 900;

    /// <summary>−23 dB: cardioids have such a null for one direction, not for all claps.</summary>
    private const double DeadShare = 0.005;

    private const double AlikeRatio = 1.6;

    /// <summary>Whether all capsules heard the same, as they hear no sound from any side.</summary>
    public bool AreAlike => Energies.Max() < AlikeRatio * Energies.Min() && Agreement.Min() > 0.9;

    /// <param name="array">The capsules around the click.</param>
    /// <param name="arrival">Sample of the excerpt at which the click arrives.</param>
    /// <param name="sampleRateHz">Working rate.</param>
    public static CapsuleCheck? Of(ArrayExcerpt array, int arrival, double sampleRateHz)
    {
        var (lead, span) = ((int)(0.0005 * sampleRateHz), (int)(SpanSeconds * sampleRateHz));
        var from = arrival - lead;
        if (from < Excerpts.QuietFrom || from + span > Excerpts.Size)
            return null;
        var heard = array.Capsules.Select(c => LongWaves(c, from - span, 2 * span, sampleRateHz)[span..]).ToArray();
        var (energies, agreement) = (new double[heard.Length], new double[heard.Length]);
        for (var i = 0; i < heard.Length; i++)
        {
            var others = new double[span];
            for (var j = 0; j < heard.Length; j++)
                for (var n = 0; n < span && j != i; n++)
                    others[n] += heard[j][n];
            energies[i] = CholeskyFactor.Dot(heard[i], heard[i]);
            agreement[i] = CholeskyFactor.Dot(heard[i], others) / Math.Sqrt(Math.Max(1e-300, energies[i] * CholeskyFactor.Dot(others, others)));
        }
        return new CapsuleCheck(energies, agreement);
    }

    /// <summary>What all claps together say of the array; null = nothing is wrong that shows.</summary>
    public static string? FindProblem(IEnumerable<CapsuleCheck?> claps, SlateInput input)
    {
        var checks = claps.OfType<CapsuleCheck>().ToList();
        // An array of sharper patterns has a back of the other sign.
        if (checks.Count == 0 || input.Array.Pattern < 0.45)
            return null;
        for (var i = 0; i < checks[0].Energies.Length; i++)
        {
            var channel = input.ArraySet.Channels[i] + 1;
            var share = checks.Average(c => c.Energies[i] / Math.Max(1e-300, c.Energies.Average()));
            if (share < DeadShare)
                return $"channel {channel} of the array hears none of the claps: its capsule is dead or its cable is off, and what is measured without it is not sure";
            // A capsule that looks away hears little and may differ; what it hears well counts.
            var agreement = checks.Sum(c => c.Agreement[i] * c.Energies[i]) / checks.Sum(c => c.Energies[i]);
            if (agreement < -0.3 && checks.All(c => c.Agreement.Count(a => a < -0.3) < 2 || c.Agreement[i] <= c.Agreement.Min() + 0.2))
                return $"channel {channel} of the array goes against the others: its polarity is inverted; put it right in the session's patch or the cable, and measure again";
        }
        return null;
    }

    private static double[] LongWaves(double[] samples, int from, int count, double sampleRateHz)
    {
        var keep = Math.Exp(-2 * Math.PI * LongWaveHz / sampleRateHz);
        var result = new double[count];
        var (once, twice) = (0.0, 0.0);
        for (var n = 0; n < count; n++)
        {
            once += (1 - keep) * (samples[Math.Max(0, from + n)] - once);
            twice += (1 - keep) * (once - twice);
            result[n] = twice;
        }
        return result;
    }
}
