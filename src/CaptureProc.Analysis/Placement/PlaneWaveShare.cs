using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Placement;

/// <summary>Direct sound over all the rest from the array alone: how far single frequencies look like one plane wave.</summary>
/// <remarks>
/// Thread: [any]. Shape: moments of one band, one a bin of long frames.
/// Where one player rules a frequency for as long as the room rings, the four signals are one number times b + n: b the plane
/// wave of the direct sound, n what the room adds, by chance alike in all four once a diffuse field is white in them. How loud the note is
/// cancels, so a few strong partials do not decide alone what a room does at all frequencies; summed energies would let them, and a
/// handful of partials is a poor sample of a room. With λ = 4·direct/rest the direction of the four signals has the density
/// e^{−λ(1−t)}·(1 + 3λt + 3(λt)²/2 + (λt)³/6) relative to uniform, t the share that a plane wave from the player explains, and
/// mean 1 − 3·(λ³ − 3λ² + 6λ − 6 + 6e^{−λ})/λ⁴ (a noncentral beta of 1 and 3 degrees; derived, checked by chance in
/// PlaneWaveShareTests). Nobody says who plays when: players are a mixture over directions, fitted together with λ by expectation and maximisation.
/// Error: a reflection from the player's side passes for direct sound (+1 to +3 dB for a single player), players that sound at
/// one frequency pass for the room (−1 dB from five on). It is what there is without spots, and good to about 2 dB.
/// </remarks>
public static class PlaneWaveShare
{
    /// <summary>Standard deviation of the estimate: that of simulated rooms is 1.6 dB (SimulatedRehearsalTests), and real ones are less tidy.</summary>
    public const double UncertaintyDb = 2;

    private const int Directions = 120;
    private const int MostBins = 700;
    private const int Rounds = 36;

    // Players are few. Directions that hold next to nothing once the mixture has settled are the room, fitted by chance.
    private const int Settled = 20;
    private const double LeastShare = 0.015;

    // -25 dB of the neighbourhood: below that the noise of capsules and room begins to speak in the gaps between partials.
    private const double FloorShare = 0.003;

    private static readonly Vector3D[] Sphere = EvenlySpread(Directions);

    /// <summary>Direct over rest in power; null where the band is silent.</summary>
    public static double? DirectToRest(ReadOnlySpan<FieldMoments> bins)
    {
        var heard = Loud(bins);
        if (heard.Count < 10)
            return null;
        var explained = new double[heard.Count][];
        for (var i = 0; i < explained.Length; i++)
        {
            explained[i] = new double[Directions];
            for (var d = 0; d < Directions; d++)
                explained[i][d] = heard[i].Explained(Sphere[d]);
        }
        return Lambda(explained) / 4;
    }

    /// <summary>Mean share that the right plane wave explains, for a λ; 1/4 without direct sound.</summary>
    public static double MeanExplained(double lambda) => lambda < 0.05
        ? 0.25 + 3 * lambda / 20
        : 1 - 3 * (lambda * lambda * lambda - 3 * lambda * lambda + 6 * lambda - 6 + 6 * Math.Exp(-lambda)) / Math.Pow(lambda, 4);

    private static double Lambda(double[][] explained)
    {
        var weight = new double[Directions];
        Array.Fill(weight, 1.0 / Directions);
        var (next, belongs) = (new double[Directions], new double[Directions]);
        var lambda = 2.0;
        for (var round = 0; round < Rounds; round++)
        {
            Array.Clear(next);
            var sum = 0.0;
            foreach (var bin in explained)
            {
                var total = 0.0;
                for (var d = 0; d < Directions; d++)
                    total += belongs[d] = weight[d] < 1e-6 ? 0 : weight[d] * Density(lambda, bin[d]);
                for (var d = 0; d < Directions; d++)
                {
                    next[d] += belongs[d] / total;
                    sum += belongs[d] / total * bin[d];
                }
            }
            var kept = 0.0;
            for (var d = 0; d < Directions; d++)
                kept += next[d] = round < Settled || next[d] > LeastShare * explained.Length ? next[d] : 0;
            for (var d = 0; d < Directions; d++)
                weight[d] = next[d] / kept;
            lambda = Inverse(sum / explained.Length);
        }
        return lambda;
    }

    private static double Density(double lambda, double explained)
    {
        var z = lambda * explained;
        return Math.Exp(z - lambda) * (1 + z * (3 + z * (1.5 + z / 6)));
    }

    private static double Inverse(double mean)
    {
        var (low, high) = (1e-3, 4e4);
        for (var i = 0; i < 50; i++)
        {
            var middle = Math.Sqrt(low * high);
            (low, high) = MeanExplained(middle) < mean ? (middle, high) : (low, middle);
        }
        return Math.Sqrt(low * high);
    }

    /// <summary>The bins that carry sound, thinned to a number that can be fitted quickly.</summary>
    private static List<FieldMoments> Loud(ReadOnlySpan<FieldMoments> bins)
    {
        var loud = new List<FieldMoments>();
        // A third-octave of an octave that begins at bin n is about n/4 bins long.
        var neighbourhood = Math.Max(8, bins.Length / 4);
        for (var first = 0; first < bins.Length; first += neighbourhood)
        {
            var part = bins.Slice(first, Math.Min(neighbourhood, bins.Length - first));
            var mean = 0.0;
            foreach (var bin in part)
                mean += bin.White / part.Length;
            foreach (var bin in part)
                if (bin.White > FloorShare * mean)
                    loud.Add(bin);
        }
        if (loud.Count <= MostBins)
            return loud;
        var thinned = new List<FieldMoments>(MostBins);
        for (var i = 0; i < MostBins; i++)
            thinned.Add(loud[(int)((long)i * loud.Count / MostBins)]);
        return thinned;
    }

    /// <summary>A spiral: evenly over the sphere, 20° from one to the next.</summary>
    private static Vector3D[] EvenlySpread(int count)
    {
        var golden = Math.PI * (3 - Math.Sqrt(5));
        return [.. Enumerable.Range(0, count).Select(i =>
        {
            var z = 1 - (2 * i + 1.0) / count;
            var (sin, cos) = Math.SinCos(golden * i);
            var ring = Math.Sqrt(1 - z * z);
            return new Vector3D(ring * cos, ring * sin, z);
        })];
    }
}
