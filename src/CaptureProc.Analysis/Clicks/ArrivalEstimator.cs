using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What one click says about one spot.</summary>
/// <param name="DelaySamples">By how much the array's centre hears it later than the spot; working rate.</param>
/// <param name="Gain">Direct sound at the array's centre over direct sound in the spot, with sign.</param>
/// <param name="Fit">How well the model explains the recording.</param>
/// <param name="Significance">Of the first arrival over background alone.</param>
/// <param name="Strongest">Size of the strongest arrival over the spot.</param>
/// <param name="Levels">How loud the direct sound is.</param>
/// <param name="ClippedShare">Share of the click's first two milliseconds in the spot that was cut off.</param>
public sealed record Arrival(
    double DelaySamples, double Gain, DirectionEstimate Direction, ArrivalFit Fit, double Significance, double Strongest,
    DirectLevels Levels, double ClippedShare)
{
    /// <summary>Rate of the samples that the delay counts.</summary>
    public double WorkingRateHz { get; init; } = 48000;

    /// <summary>Probability that nothing weaker came earlier unheard; less than 1 where a spot faces away from the clap.</summary>
    public double Firstness { get; init; } = 1;

    /// <summary>Standard deviation of the delay, misfit included; working rate.</summary>
    /// <remarks>
    /// What the model leaves unexplained enlarges the uncertainty as it does in any least-squares fit. A seventh on top stands for
    /// what linear propagation leaves out at low signal-to-noise. The floor stands for what no residual shows: 0.004 samples
    /// are 0.03 mm at 48 kHz, less than anybody knows about where a capsule begins.
    /// </remarks>
    public double DelaySigma => Math.Sqrt(1.15 * 1.15 * Fit.MeantDelaySigma * Fit.MeantDelaySigma * Math.Max(1, Fit.ReducedChiSquare)
        + Fit.BandDisagreement * Fit.BandDisagreement + 0.004 * 0.004);
}

/// <summary>What is known about a first arrival before it is looked for.</summary>
/// <param name="EarliestSeconds">The array does not hear it sooner than this after the spot.</param>
/// <param name="WeakestShare">Arrivals weaker than this share of the strongest are none.</param>
public readonly record struct ArrivalExpectation(double EarliestSeconds, double WeakestShare);

/// <summary>Measures delay, sign, size and direction of a click at the array against one spot's recording of it.</summary>
/// <remarks>
/// Thread: one instance a thread. Cost: some ten milliseconds.
/// Find the first arrival to a few samples, guess its direction, point a beam there, fit; then refine the direction on the
/// capsules and fit again through the better beam.
/// </remarks>
public sealed class ArrivalEstimator
{
    /// <summary>Sound travels about 30 m in this time: the longest way from a spot to the array, either way round.</summary>
    private const double LongestLagSeconds = 0.09;

    /// <summary>Between spots the strongest arrivals are enough to tell who is nearer.</summary>
    private const double WeakestInSpot = 0.25;

    /// <summary>Where a spot's source is taken to stand from it, when the curvature of waves at the array asks for a distance.</summary>
    private const double AssumedSpotDistanceM = 0.5;

    private const double MostLikeSummit = 0.65;
    private const int MostSummits = 3;

    private readonly ArrayModel array;
    private readonly DirectArrivalFit fit;
    private readonly DirectionFit directionFit;
    private readonly Complex[] unity;

    public ArrivalEstimator(ArrayModel array)
    {
        this.array = array;
        fit = new DirectArrivalFit(array.SampleRateHz);
        directionFit = new DirectionFit(array.Manifold, fit);
        unity = new Complex[fit.Transform.BinCount];
        Array.Fill(unity, Complex.One);
    }

    /// <summary>The click of a spot, ready for <see cref="Estimate"/>.</summary>
    public SpotClick Prepare(ChannelExcerpt spot, int onset) => SpotClick.Of(spot, onset, array.SampleRateHz, fit.Transform);

    /// <summary>Null where the array does not hear the click well enough.</summary>
    /// <param name="excerpt">The array.</param>
    /// <param name="click">The click in the spot.</param>
    /// <param name="onset">Sample of the excerpt at which it begins there.</param>
    /// <param name="prior">What is known of the response between spot and array.</param>
    /// <param name="expected">What is known about where the first arrival may be; null = nothing.</param>
    public Arrival? Estimate(ArrayExcerpt excerpt, SpotClick click, int onset, ResponsePrior prior, ArrivalExpectation? expected = null)
    {
        var rate = array.SampleRateHz;
        var reach = (int)(LongestLagSeconds * rate);
        var (earliest, weakest) = expected ?? new ArrivalExpectation(-LongestLagSeconds, FirstArrivalSearch.WeakestShare);
        if (FirstArrivalSearch.Find(excerpt.W, click, onset, rate, Math.Max((int)(earliest * rate), Excerpts.Quiet - onset), reach, weakest) is not { } first)
            return null;
        var guess = array.Search.Find(excerpt.Capsules, click, onset, first.Lag);
        var lag = first.Lag + guess.Shift;
        var start = onset + lag - Before;
        var length = WindowLength(click);
        if (start < Excerpts.QuietFrom || start + length > Excerpts.Size)
            return null;
        var scale = Math.Max(first.Strongest, Math.Abs(guess.Amplitude));
        var distance = Math.Clamp(lag / rate * array.SpeedOfSoundMps + AssumedSpotDistanceM, 1, 30);

        var begin = new ArrivalFit(guess.Amplitude, 0, prior.Mean) { TailShare = 1e-3 };
        if (fit.FitBest(Window(array.ToBeam(excerpt.Spectra, guess.Direction, distance)), begin, scale, prior) is not { } rough)
            return null;
        // The spot's own noise is the same in all capsules and cannot turn the direction: here it does not count.
        if (Refine(click.WithoutNoise(), rough, guess.Direction) is not { } directed)
            return null;
        var direction = directed.Direction;
        if (click.Recorded is { } recorded)
        {
            var joint = JointClick.Of(
                recorded, array.ToBeam(excerpt.Spectra, direction.Direction, distance), onset + lag, directed.Fit, fit.Response, scale, rate, fit.Transform);
            if (Refine(joint.WithoutNoise(), directed.Fit with { Response = new double[SmoothResponse.Count] }, direction.Direction) is { } better)
                direction = better.Direction;
        }
        if (FitAtSummits(Window(array.ToReference(excerpt, direction.Direction, distance)), rough, scale, prior) is not { } fine)
            return null;
        var direct = fit.Predict(Window(excerpt.W), fine, unity, false);
        return new Arrival(lag + fine.MeantDelay, fine.MeantAmplitude * click.Shrinkage, direction, fine, first.Significance, first.Strongest,
            DirectLevels.Of(excerpt, direct, fine.Amplitude, start, rate), ClippedShare(click)) { WorkingRateHz = rate };

        ArrivalData Window(double[] reference) => this.Window(reference, click, start, length);

        DirectedFit? Refine(SpotClick sound, ArrivalFit from, Vector3D direction) => directionFit.Refine(
            [.. excerpt.Capsules.Select(c => Window(c) with { Click = sound, Misfit = Misfit.OfCapsule })], from, scale, direction, distance, rate);
    }

    /// <summary>The best fit of those that begin where reference and click go together well, the right way round or inverted.</summary>
    /// <remarks>
    /// A source that is no point, or one that rings, goes together with itself a period earlier and later nearly as well, and with
    /// the other sign half a period away. Which of them it is, the evidence tells, not the order in which they are tried.
    /// </remarks>
    private ArrivalFit? FitAtSummits(ArrivalData data, ArrivalFit rough, double scale, ResponsePrior prior)
    {
        var coarse = fit.FitBest(data with { Misfit = Misfit.OfResponseBelow2Khz }, rough with { Response = prior.Mean }, scale, prior) ?? rough;
        var best = fit.FitPointOrWide(data, rough, scale, prior);
        if (best is not null && !IsNear(coarse, best.MeantDelay, best.Amplitude))
            best = null;
        foreach (var (shift, amplitude) in Summits(data, rough))
        {
            if (!IsNear(coarse, shift, amplitude))
                continue;
            var start = new ArrivalFit(amplitude, shift, prior.Mean) { TailShare = rough.TailShare };
            if (fit.FitPointOrWide(data, start, scale, prior) is { } other && other.LogEvidence > (best?.LogEvidence ?? double.NegativeInfinity)
                && IsNear(coarse, other.MeantDelay, other.Amplitude))
                best = other;
        }
        best ??= fit.FitPointOrWide(data, coarse, scale, prior);
        if (best is null)
            return null;
        // Where less of the treble says something else, the response is more than the model allows for.
        var narrow = fit.FitPointOrWide(data with { Misfit = Misfit.OfResponseBelow5Khz }, best, scale, prior) ?? coarse;
        // What the noise of the band left out explains is no disagreement.
        var excess = Square(narrow.MeantDelay - best.MeantDelay) - Math.Max(0, 4 * (Square(narrow.MeantDelaySigma) - Square(best.MeantDelaySigma)));
        return best with { BandDisagreement = Math.Sqrt(Math.Max(0, excess)) };

        static double Square(double x) => x * x;

        static bool IsNear(ArrivalFit coarse, double delay, double amplitude) =>
            Math.Sign(amplitude) == Math.Sign(coarse.Amplitude) && Math.Abs(delay - coarse.MeantDelay) <= 4 + 3 * Math.Min(4, coarse.MeantDelaySigma);
    }

    /// <summary>Where the reference correlates with the click best, apart from where the rough fit lies already.</summary>
    private List<(double Shift, double Amplitude)> Summits(ArrivalData data, ArrivalFit rough)
    {
        var reach = (int)(0.0004 * array.SampleRateHz);
        var length = data.Window.Length - 2 * reach;
        var (power, correlation) = (1e-300, new double[2 * reach + 1]);
        for (var t = 0; t < length; t++)
            power += data.Click.Samples[data.Offset + reach + t] * data.Click.Samples[data.Offset + reach + t];
        for (var shift = -reach; shift <= reach; shift++)
            correlation[shift + reach] = CholeskyFactor.Dot(
                data.Click.Samples.AsSpan(data.Offset + reach, length), data.Window.AsSpan(reach + shift, length)) / power;
        var least = MostLikeSummit * correlation.Max(Math.Abs);
        var found = new List<(double Shift, double Amplitude)>();
        for (var i = 1; i < correlation.Length - 1; i++)
            if (Math.Abs(correlation[i]) >= Math.Max(least, Math.Max(Math.Abs(correlation[i - 1]), Math.Abs(correlation[i + 1])))
                && (Math.Abs(i - reach - rough.MeantDelay) > 2 || Math.Sign(correlation[i]) != Math.Sign(rough.Amplitude)))
                found.Add((i - reach, correlation[i]));
        return [.. found.OrderByDescending(f => Math.Abs(f.Amplitude)).Take(MostSummits)];
    }

    /// <summary>By how much one spot hears a click later than another, and how loud: for one clap for all.</summary>
    /// <remarks>The far spot is the reference of the same fit, with the near spot's clean click as the template; it has no direction.</remarks>
    public ArrivalFit? EstimateBetween(double[] farSpot, SpotClick click, int onset, ResponsePrior prior, out double significance)
    {
        var rate = array.SampleRateHz;
        significance = 0;
        var earliest = -(int)(0.0005 * rate);
        if (FirstArrivalSearch.Find(farSpot, click, onset, rate, earliest, (int)(LongestLagSeconds * rate)) is not { } first)
            return null;
        significance = first.Significance;
        var start = onset + first.Lag - Before;
        var length = WindowLength(click);
        if (start + length > Excerpts.Size)
            return null;
        var begin = new ArrivalFit(first.Amplitude, 0, prior.Mean) { TailShare = 1e-3 };
        var fitted = fit.FitBest(Window(farSpot, click, start, length), begin, first.Strongest, prior);
        return fitted is null ? null : fitted with { MeantDelay = first.Lag + fitted.MeantDelay };
    }

    /// <summary>Where another spot hears a click; null where it does not.</summary>
    public FirstArrival? FindIn(double[] otherSpot, SpotClick click, int onset)
    {
        var reach = (int)(LongestLagSeconds * array.SampleRateHz);
        return FirstArrivalSearch.Find(otherSpot, click, onset, array.SampleRateHz, Math.Max(-reach, Excerpts.Quiet - 240 - onset), reach, WeakestInSpot);
    }

    private ArrivalData Window(double[] reference, SpotClick click, int start, int length)
    {
        var quiet = reference.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom);
        return new ArrivalData(reference.AsSpan(start, length).ToArray(), click, SpotClick.Onset - Before,
            Background.Autocovariance(quiet, length, length));
    }

    private double ClippedShare(SpotClick click)
    {
        var span = (int)(0.002 * array.SampleRateHz);
        return (double)click.Clipped.Count(n => n >= SpotClick.Onset && n < SpotClick.Onset + span) / span;
    }

    /// <summary>The window begins this far ahead of the arrival.</summary>
    private int Before => (int)(0.001 * array.SampleRateHz);

    /// <summary>Long enough to hold nearly all of the click, short enough to be solved quickly.</summary>
    private int WindowLength(SpotClick click)
    {
        var (shortest, longest) = ((int)(0.003 * array.SampleRateHz), (int)(0.006 * array.SampleRateHz));
        var samples = click.Samples.AsSpan(SpotClick.Onset, longest);
        var total = CholeskyFactor.Dot(samples, samples);
        var (sum, length) = (0.0, 0);
        while (length < longest && sum < 0.995 * total)
        {
            sum += samples[length] * samples[length];
            length++;
        }
        return Before + Math.Clamp(length, shortest, longest);
    }
}
