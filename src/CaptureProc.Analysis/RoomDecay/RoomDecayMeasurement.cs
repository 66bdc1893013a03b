using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Analysis.RoomDecay;

/// <summary>Reverberation from the claps of a slate: how the array's W dies away after each.</summary>
/// <remarks>
/// Thread: [main]; looks at as many claps at once as there are processors. Memory: one excerpt each. Every clap is looked at from just
/// before it until the next one, at most <see cref="LongestSeconds"/>; the figures are medians over the claps, so one with talk in its tail does no harm.
/// Limits: ISO 3382-1 asks for an omnidirectional source of known evenness and for several places of source and microphone. Hands
/// send their sound forward and mostly above 500 Hz, the array stands in one place, and a room full of players is measured as it is, not
/// empty. T20 and T30 hardly suffer from that; EDT and C80 belong to these places and these hands.
/// </remarks>
public sealed class RoomDecayMeasurement
{
    /// <summary>A hall that rings longer than this is not measured with claps.</summary>
    public const double LongestSeconds = 4;

    private const double QuietSeconds = 0.2;

    // What is heard before a clap ends this far ahead of it: the clap was found at its spot, to within a block.
    private const double GuardSeconds = 0.02;

    // A clap loses itself in what follows within this time.
    private const double ShortestSeconds = 0.3;

    private readonly IFrameSource source;
    private readonly SlateInput input;
    private readonly MatrixFilter encoder;

    public RoomDecayMeasurement(IFrameSource source, SlateInput input)
    {
        (this.source, this.input) = (source, input);
        encoder = EncoderDesign.Design(input.Array, input.SampleRateHz, input.SpeedOfSoundMps, Correction.Full);
    }

    /// <param name="clickSeconds">When the claps are first heard, in order.</param>
    /// <returns>Null where no clap tells anything.</returns>
    public RoomDecayResult? Measure(IReadOnlyList<double> clickSeconds)
    {
        var bands = OctaveFilter.NominalHz.Select(_ => new List<DecayCurve>()).ToArray();
        var clicks = 0;
        Parallel.For(0, clickSeconds.Count, i =>
        {
            var next = i + 1 < clickSeconds.Count ? clickSeconds[i + 1] : source.FrameCount / input.SampleRateHz + GuardSeconds;
            var seconds = Math.Min(LongestSeconds, next - GuardSeconds - clickSeconds[i]);
            if (seconds >= ShortestSeconds && Hear(clickSeconds[i], seconds, bands))
                Interlocked.Increment(ref clicks);
        });
        return clicks == 0 ? null : new RoomDecayResult([.. bands.Select((curves, b) => new BandDecay(OctaveFilter.NominalHz[b],
            Median(curves, c => c.EdtSeconds), Median(curves, c => c.T20Seconds), Median(curves, c => c.T30Seconds), Median(curves, c => c.C80Db)))], clicks);
    }

    private bool Hear(double clickSeconds, double seconds, List<DecayCurve>[] bands)
    {
        var rate = input.SampleRateHz;
        var quiet = (int)(QuietSeconds * rate);
        var first = (long)(clickSeconds * rate) - quiet;
        var w = ReadW(first, quiet + (int)(seconds * rate));
        var start = Arrival(w, quiet - (int)(GuardSeconds * rate));
        var filter = new OctaveFilter(w.Length, rate);
        w.CopyTo(filter.Samples, 0);
        filter.Take();
        var isHeard = false;
        for (var band = 0; band < bands.Length; band++)
        {
            filter.FillSquares(band);
            var squares = filter.Samples.AsSpan(0, w.Length);
            var reach = (int)(OctaveFilter.ReachSeconds(band) * rate);
            // The first samples are left out as well: the transform wraps round there.
            var background = Mean(squares[Math.Min(reach, quiet / 4)..(quiet - (int)(GuardSeconds * rate))]);
            if (DecayCurve.Of(squares[..^reach], start, reach, background, rate) is { } curve)
            {
                lock (bands[band])
                    bands[band].Add(curve);
                isHeard = true;
            }
        }
        return isHeard;
    }

    /// <summary>W with full correction, its latency taken out.</summary>
    private double[] ReadW(long first, int frames)
    {
        var convolver = new BlockMatrixConvolver(encoder);
        var total = frames + encoder.LatencyFrames;
        var planar = new float[source.ChannelCount][];
        foreach (var channel in input.ArraySet.Channels)
            planar[channel] = new float[total];
        lock (source)
            source.Read(first, planar, total);
        var capsules = input.ArraySet.Channels.Select((channel, i) => Array.ConvertAll(planar[channel], s => (float)(s * input.ArraySet.Gains[i]))).ToArray();
        var field = new float[4][];
        for (var c = 0; c < field.Length; c++)
            field[c] = new float[total];
        for (var done = 0; done < total; done += convolver.MaxBlockFrames)
        {
            var now = Math.Min(convolver.MaxBlockFrames, total - done);
            convolver.Process(new ReadOnlyPlanarSpan(capsules, done, now), new PlanarSpan(field, done, now));
        }
        return [.. field[0].Skip(encoder.LatencyFrames).Select(s => (double)s)];
    }

    /// <summary>Where the sound comes within 20 dB of its peak for the first time (ISO 3382-1, A.2: the start of the response).</summary>
    private static int Arrival(double[] w, int from)
    {
        var peak = 0.0;
        for (var n = from; n < w.Length; n++)
            peak = Math.Max(peak, Math.Abs(w[n]));
        for (var n = from; n < w.Length; n++)
            if (Math.Abs(w[n]) >= 0.1 * peak)
                return n;
        return from;
    }

    private static double Mean(ReadOnlySpan<double> x)
    {
        var sum = 0.0;
        foreach (var value in x)
            sum += value;
        return sum / Math.Max(1, x.Length);
    }

    private static double? Median(List<DecayCurve> curves, Func<DecayCurve, double?> figure)
    {
        var found = curves.Select(figure).OfType<double>().Order().ToList();
        return found.Count == 0 ? null : (found[(found.Count - 1) / 2] + found[found.Count / 2]) / 2;
    }
}
