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
    /// <summary>Probability that nothing weaker came earlier unheard; less than 1 where a spot faces away from the clap.</summary>
    public double Firstness { get; init; } = 1;

    /// <summary>Standard deviation of the delay, misfit included; working rate.</summary>
    /// <remarks>
    /// What the model leaves unexplained enlarges the uncertainty as it does in any least-squares fit. A seventh on top stands for
    /// what linear propagation leaves out at low signal-to-noise. The floor stands for what no residual shows: 0.004 samples
    /// are 0.03 mm at 48 kHz, less than anybody knows about where a capsule begins.
    /// </remarks>
    public double DelaySigma => Math.Sqrt(1.15 * 1.15 * Fit.DelaySigma * Fit.DelaySigma * Math.Max(1, Fit.ReducedChiSquare) + 0.004 * 0.004);
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

    /// <summary>Where a spot's source is taken to stand from it, when the curvature of waves at the array asks for a distance.</summary>
    private const double AssumedSpotDistanceM = 0.5;

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
    /// <param name="prior">What is known of the spot's proximity rise.</param>
    /// <param name="expected">What is known about where the first arrival may be; null = nothing.</param>
    public Arrival? Estimate(ArrayExcerpt excerpt, SpotClick click, int onset, ProximityPrior prior, ArrivalExpectation? expected = null)
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
                recorded, array.ToBeam(excerpt.Spectra, direction.Direction, distance), onset + lag, directed.Fit, scale, rate, fit.Transform);
            if (Refine(joint.WithoutNoise(), directed.Fit with { Proximity = 0 }, direction.Direction) is { } better)
                direction = better.Direction;
        }
        if (fit.FitBest(Window(array.ToBeam(excerpt.Spectra, direction.Direction, distance)), rough, scale, prior) is not { } fine)
            return null;
        var direct = fit.Predict(Window(excerpt.W), fine, unity, false);
        return new Arrival(lag + fine.Delay, fine.Amplitude * click.Shrinkage, direction, fine, first.Significance, first.Strongest,
            DirectLevels.Of(excerpt, direct, fine.Amplitude, start, rate), ClippedShare(click));

        ArrivalData Window(double[] reference) => this.Window(reference, click, start, length);

        DirectedFit? Refine(SpotClick sound, ArrivalFit from, Vector3D direction) => directionFit.Refine(
            [.. excerpt.Capsules.Select(c => Window(c) with { Click = sound })], from, scale, direction, distance, rate);
    }

    /// <summary>By how much one spot hears a click later than another, and how loud: for one clap for all.</summary>
    /// <remarks>The far spot is the reference of the same fit, with the near spot's clean click as the template; it has no direction.</remarks>
    public ArrivalFit? EstimateBetween(double[] farSpot, SpotClick click, int onset, ProximityPrior prior, out double significance)
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
        return fitted is null ? null : fitted with { Delay = first.Lag + fitted.Delay };
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
