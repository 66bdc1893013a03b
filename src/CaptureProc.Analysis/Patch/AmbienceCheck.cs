using CaptureProc.Analysis.LineUp;
using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Analysis.Patch;

/// <summary>What any sound in the room tells: a dead channel, two that carry one signal, and relative polarities.</summary>
/// <param name="Dead">Channels far below the others.</param>
/// <param name="Doubled">Pairs of channels that are one signal.</param>
/// <param name="Sign">Relative polarity of each channel, the majority being +1; null where it cannot be told.</param>
internal sealed record AmbienceCheck(IReadOnlyList<int> Dead, IReadOnlyList<(int A, int B)> Doubled, int[]? Sign)
{
    private const double DeadDb = 25;
    private const double OneSignal = 0.98;
    // One channel turned round changes the score by twice three coherences: half of the weakest such step has to be there.
    private const double ClearMargin = 0.3;

    /// <summary>At low frequencies the coherence of two capsules in a surround has the sign of the closed form, whatever the order; an inverted channel turns it.</summary>
    public static AmbienceCheck Of(DiffuseStatistics heard, CapsuleArray array)
    {
        var n = heard.ChannelCount;
        var levels = Enumerable.Range(0, n).Select(c => 10 * Math.Log10(heard.MeanSquare(c) + 1e-20)).ToArray();
        var loudest = levels.Max();
        var dead = Enumerable.Range(0, n).Where(c => levels[c] < loudest - DeadDb).ToList();
        var doubled = new List<(int, int)>();
        var coherence = new double[n, n];
        for (var i = 0; i < n; i++)
        {
            for (var j = i + 1; j < n; j++)
            {
                if (dead.Contains(i) || dead.Contains(j))
                    continue;
                coherence[i, j] = Mean(heard, i, j, 80, 450, isSquared: false);
                if (Mean(heard, i, j, 1500, 8000, isSquared: true) > OneSignal)
                    doubled.Add((i, j));
            }
        }

        Span<double> covariance = stackalloc double[n * n];
        new ArrayStatistics(array).DiffuseCovariance(2 * Math.PI * 200 / 343.2, covariance);
        return new AmbienceCheck(dead, doubled, dead.Count > 0 || doubled.Count > 0 ? null : RelativePolarity.Of(coherence, Math.Sign(covariance[1]), ClearMargin));
    }

    private static double Mean(DiffuseStatistics heard, int i, int j, double fromHz, double toHz, bool isSquared)
    {
        var (sum, count) = (0.0, 0);
        for (var band = 0; band < heard.Bands.Count; band++)
        {
            if (heard.Bands.CentreHz[band] < fromHz || heard.Bands.CentreHz[band] > toHz)
                continue;
            var cross = heard.Cross(band, i, j);
            var powers = heard.Cross(band, i, i).Real * heard.Cross(band, j, j).Real;
            if (!(powers > 0))
                continue;
            sum += isSquared ? cross.Magnitude * cross.Magnitude / powers : cross.Real / Math.Sqrt(powers);
            count++;
        }
        return count > 0 ? sum / count : 0;
    }
}
