using System.Globalization;
using System.Numerics;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Program;

/// <summary>Measures the spots from the music itself, without claps.</summary>
/// <remarks>
/// Thread: [main]. Memory: independent of the length. Needs some ten seconds in which every spot's player plays.
/// Over the whole recording the responses from spots to capsules are found (<see cref="SpotResponses"/>). Such a response
/// looks just as if a click of known shape had been recorded, so from there on it is measured by the very code that measures
/// claps: the first arrival counts, reflections are part of the model, and there is no parabola to be biased. The noise that is
/// stated is what the response carries at times before sound can arrive. The same is done for each stretch of the recording by
/// itself: stretches that agree are the evidence that can be trusted, and their scatter bounds the uncertainty from below.
/// </remarks>
public sealed class ProgramMeasurement
{
    /// <summary>0.68 s at 48 kHz: ways of 90 ms and most of the reverberation fit in with room to spare.</summary>
    private const int BlockSize = 32768;

    private const double LowestHz = 90;
    private const double HighestHz = 12000;
    private const int MostStretches = 8;
    private const double ShortestStretchSeconds = 5;

    /// <remarks>
    /// A player sits nearer to the own spot than to the array: what seems to reach the array first is a neighbour's bleed. Such
    /// traces reach a tenth of the arrival, while a direct sound below a fourth of the strongest reflection is rare.
    /// </remarks>
    private static readonly ArrivalExpectation Expected = new(EarliestSeconds: -0.0003, WeakestShare: 0.25);

    private readonly IFrameSource source;
    private readonly SlateInput input;
    private readonly Excerpts excerpts;
    private readonly ArrayModel array;
    private readonly ArrayModel?[] spotArrays;
    private readonly Transform block = new(BlockSize);
    private readonly int firstBin, binCount;

    public ProgramMeasurement(IFrameSource source, SlateInput input)
    {
        (this.source, this.input) = (source, input);
        excerpts = new Excerpts(input.SampleRateHz);
        array = new ArrayModel(input.Array, excerpts.SampleRateHz, input.SpeedOfSoundMps);
        spotArrays = [.. input.Spots.Select(s => s.Capsules is { } capsules
            ? new ArrayModel(capsules, excerpts.SampleRateHz, input.SpeedOfSoundMps) : null)];
        var binHz = excerpts.SampleRateHz / BlockSize;
        firstBin = (int)Math.Ceiling(LowestHz / binHz);
        binCount = (int)(Math.Min(HighestHz, 0.45 * excerpts.SampleRateHz) / binHz) - firstBin;
    }

    public IReadOnlyList<SpotResult> Measure(Action<long>? progress = null)
    {
        var blockFrames = (long)BlockSize * excerpts.Decimation;
        if (source.FrameCount < 2 * blockFrames)
            throw new UnusableInputException("too-short", string.Create(CultureInfo.InvariantCulture,
                $"the recording is {source.FrameCount / input.SampleRateHz:0.0} s long; --program needs {2 * blockFrames / input.SampleRateHz:0.0} s at least, and some ten seconds of each player to be sure"));
        var stretches = Math.Clamp((int)(source.FrameCount / input.SampleRateHz / ShortestStretchSeconds), 1, MostStretches);
        var whole = Empty();
        var parts = new List<Arrival?[]>();
        using var reader = new ProgramReader(source, input, excerpts, spotArrays, BlockSize);
        for (var stretch = 0; stretch < stretches; stretch++)
        {
            var (from, to) = (source.FrameCount * stretch / stretches, source.FrameCount * (stretch + 1) / stretches);
            var part = Empty();
            for (var frame = from; frame + blockFrames <= Math.Max(to, from + blockFrames) && frame + blockFrames <= source.FrameCount; frame += blockFrames / 2)
            {
                var (spots, capsules) = reader.Read(frame);
                part.Add(spots, capsules);
                progress?.Invoke(frame);
            }
            if (part.BlockCount == 0)
                continue;
            whole.Add(part);
            if (stretches > 1)
                parts.Add(Arrivals(part));
        }
        var all = Arrivals(whole);
        return [.. input.Spots.Select((spot, i) => ProgramJudgement.Judge(input, excerpts.SampleRateHz, spot, all[i], [.. parts.Select(p => p[i])]))];
    }

    private LongTermSpectra Empty() => new(input.Spots.Count, array.Manifold.CapsuleCount, firstBin, binCount);

    private Arrival?[] Arrivals(LongTermSpectra spectra)
    {
        var responses = SpotResponses.Solve(spectra);
        var estimator = new ArrivalEstimator(array);
        var arrivals = new Arrival?[input.Spots.Count];
        for (var spot = 0; spot < arrivals.Length; spot++)
        {
            var weight = Band(responses.Weight(spot));
            var capsules = Enumerable.Range(0, spectra.CapsuleCount).Select(c => Excerpt(Weighted(responses.Capsule(spot, c), weight))).ToList();
            var shape = Excerpt(Weighted([.. responses.Shape(spot).Select(r => (Complex)r)], weight));
            var click = SpotClick.Exact(shape.AsSpan(Excerpts.Before - SpotClick.Onset, SpotClick.Size).ToArray(), array.ClickTransform);
            var prior = input.Spots[spot].Capsules is null ? ResponsePrior.DirectionalSpot : ResponsePrior.CapsuleArray;
            arrivals[spot] = estimator.Estimate(new ArrayExcerpt(array, capsules), click, Excerpts.Before, prior, Expected);
        }
        return arrivals;
    }

    /// <summary>The response over time, with delay 0 where a click would begin.</summary>
    private double[] Excerpt(Complex[] bins)
    {
        var response = block.Inverse(bins);
        var excerpt = new double[Excerpts.Size];
        for (var n = 0; n < excerpt.Length; n++)
            excerpt[n] = response[(n - Excerpts.Before + BlockSize) % BlockSize];
        return excerpt;
    }

    private Complex[] Weighted(Complex[] bins, double[] weight)
    {
        var result = new Complex[block.BinCount];
        for (var k = 0; k < bins.Length; k++)
            result[firstBin + k] = bins[k] * weight[k];
        return result;
    }

    /// <summary>Lets the band begin and end softly, so that an arrival is a short pulse.</summary>
    private double[] Band(double[] weight)
    {
        var banded = new double[weight.Length];
        for (var k = 0; k < weight.Length; k++)
        {
            var hz = (firstBin + k) * excerpts.SampleRateHz / BlockSize;
            banded[k] = weight[k] * Soft((hz - LowestHz) / (2 * LowestHz)) * Soft((HighestHz - hz) / (0.4 * HighestHz));
        }
        return banded;
    }

    private static double Soft(double x) => x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * Math.Cos(Math.PI * x);
}
