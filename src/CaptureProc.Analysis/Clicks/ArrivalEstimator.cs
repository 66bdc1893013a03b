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

    /// <summary>So far from the first guess the right alignment may lie: the parts of a wide source reach two microphones in unlike order.</summary>
    private const double SummitSeconds = 0.0007;

    private const double AttackSeconds = 0.0018;

    /// <summary>With and without the treble, one alignment lies within so many samples.</summary>
    private const double FarthestOfOne = 4;

    /// <summary>So much of what comes ahead of an arrival is looked at.</summary>
    private const double AheadSeconds = 0.003;

    /// <summary>An arrival that sounds unlike the click is looked for from here …</summary>
    private const double LongAheadSeconds = 0.006;

    /// <summary>… to here ahead of the one that was found.</summary>
    private const double JustAheadSeconds = 0.0012;

    /// <summary>What is no more than 3 dB below an arrival is one itself; boards carry a knock ahead of the air that is softer, and recorded rooms have a little of everything.</summary>
    private const double LeastShareAhead = 0.5;

    /// <summary>Few milliseconds tell little: without this, chance alone would raise the background.</summary>
    private const double AheadWeight = 0.6;

    private readonly ArrayModel array;
    private readonly DirectArrivalFit fit;
    private readonly WideArrivalFit wide;
    private readonly DirectionFit directionFit;
    private readonly Complex[] unity;

    public ArrivalEstimator(ArrayModel array)
    {
        this.array = array;
        fit = new DirectArrivalFit(array.SampleRateHz);
        wide = new WideArrivalFit(array.SampleRateHz, fit);
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
        var from = Math.Max((int)(earliest * rate), Excerpts.Quiet - onset);
        if (FirstArrivalSearch.Find(excerpt.W, click, onset, rate, from, reach, weakest) is not { } first)
            return null;
        // What is loud ahead of the first arrival that was found is an arrival too, though it sounds unlike the click: somebody in the way, or a source that beams.
        while (ShareAhead(excerpt.W, onset + first.Lag) > LeastShareAhead
            && FirstArrivalSearch.Find(excerpt.W, click, onset, rate, from, first.Lag - (int)(JustAheadSeconds * rate), weakest) is { } earlier)
            first = earlier with { Strongest = Math.Max(first.Strongest, earlier.Strongest) };
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
            DirectLevels.Of(excerpt, direct, fine.Amplitude, start, rate), ClippedShare(click))
        {
            WorkingRateHz = rate,
            Firstness = ArrivalConfidence.FirstnessAfter(ShareAhead(excerpt.W, onset + lag) / LeastShareAhead),
        };

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
        List<ArrivalFit> starts = [rough, .. Summits(data, rough).Select(s =>
            new ArrivalFit(s.Amplitude, s.Shift, prior.Mean) { TailShare = rough.TailShare })];
        // For all of them reflections begin after the same sound: one that begins sooner must not leave the rest of it to them.
        var main = starts.Skip(1).Append(rough).MaxBy(s => Math.Abs(s.Amplitude))!.Delay;
        // Which alignment it is, less of the treble tells: there a period is long, and parts of a source are near one another.
        var low = data with { Misfit = Misfit.OfAlignment };
        if (MostEvident(starts.Select(s => wide.FitBest(low, Answered(s), scale))) is not { } coarse)
            return null;
        var there = Answered(coarse with { Response = prior.Mean, TailShare = rough.TailShare });
        var points = new[] { rough, there }.Select(s => fit.FitBest(data, Answered(s), scale, prior)).Where(f => f is not null && IsNear(f));
        var wideFit = wide.FitBest(data, there, scale, coarse);
        var best = MostEvident([wideFit, .. points]);
        if (best is null)
            return null;
        // Where less of the treble says something else, the response is more than the model allows for; what the noise of the band left out explains is no disagreement.
        var excess = Square(coarse.MeantDelay - best.MeantDelay) - Math.Max(0, 4 * (Square(coarse.MeantDelaySigma) - Square(best.MeantDelaySigma)));
        return best with { BandDisagreement = Math.Sqrt(Math.Max(0, excess)), Rivals = Math.Min(best.Rivals, coarse.Rivals) };

        bool IsNear(ArrivalFit f) => Math.Abs(f.MeantDelay - coarse.MeantDelay) <= FarthestOfOne && Math.Sign(f.Amplitude) == Math.Sign(coarse.Amplitude);

        ArrivalFit Answered(ArrivalFit start) => start with { TailLater = (int)Math.Round(main - start.Delay) };

        static double Square(double x) => x * x;

        static ArrivalFit? MostEvident(IEnumerable<ArrivalFit?> fits) => fits.OfType<ArrivalFit>().MaxBy(f => f.LogEvidence);
    }

    /// <summary>Where the attack in the reference is most like the click's, apart from where the rough fit lies already.</summary>
    /// <remarks>The attack alone: a few milliseconds on, reflections may be louder than it is.</remarks>
    private List<(double Shift, double Amplitude)> Summits(ArrivalData data, ArrivalFit rough)
    {
        var rate = array.SampleRateHz;
        var (reach, first, length) = ((int)(SummitSeconds * rate), Before - (int)(0.00025 * rate), (int)(AttackSeconds * rate));
        var attack = data.Click.Samples.AsSpan(data.Offset + first, length);
        var power = CholeskyFactor.Dot(attack, attack) + 1e-300;
        var (likeness, amplitude) = (new double[2 * reach + 1], new double[2 * reach + 1]);
        for (var shift = -Math.Min(reach, first); shift <= reach && first + shift + length <= data.Window.Length; shift++)
        {
            var there = data.Window.AsSpan(first + shift, length);
            var sum = CholeskyFactor.Dot(attack, there);
            amplitude[shift + reach] = sum / power;
            likeness[shift + reach] = sum / Math.Sqrt(power * (CholeskyFactor.Dot(there, there) + 1e-300));
        }
        var least = MostLikeSummit * likeness.Max(Math.Abs);
        var found = new List<(double Shift, double Amplitude, double Likeness)>();
        for (var i = 1; i < likeness.Length - 1; i++)
            if (Math.Abs(likeness[i]) >= Math.Max(least, Math.Max(Math.Abs(likeness[i - 1]), Math.Abs(likeness[i + 1])))
                && (Math.Abs(i - reach - rough.MeantDelay) > 2 || Math.Sign(amplitude[i]) != Math.Sign(rough.Amplitude)))
                found.Add((i - reach, amplitude[i], Math.Abs(likeness[i])));
        return [.. found.OrderByDescending(f => f.Likeness).Take(MostSummits).Select(f => (f.Shift, f.Amplitude))];
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

    private ArrivalData Window(double[] reference, SpotClick click, int start, int length) =>
        new(reference.AsSpan(start, length).ToArray(), click, SpotClick.Onset - Before, BackgroundAt(reference, start, length));

    /// <summary>Autocovariance of what else is heard at an arrival: what was heard in the pause, or right ahead of it where that is more.</summary>
    /// <remarks>Steps, talk and what boards carry ahead of the air begin between the pause and the clap, and do not end with it.</remarks>
    private double[] BackgroundAt(double[] reference, int start, int length)
    {
        var rate = array.SampleRateHz;
        var pause = Background.Density(reference.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom), fit.Transform, length);
        var (from, to) = (Math.Max(0, start - (int)(AheadSeconds * rate)), start + Before - (int)(0.00025 * rate));
        var ahead = Background.Density(reference.AsSpan(from, to - from), fit.Transform, (int)(0.00075 * rate));
        var bins = new Complex[pause.Length];
        for (var k = 0; k < bins.Length; k++)
            bins[k] = Math.Max(pause[k], AheadWeight * ahead[k]);
        return fit.Transform.Inverse(bins).AsSpan(0, length).ToArray();
    }

    /// <summary>Mean square of what is heard shortly ahead of an arrival over that of the arrival, without the background.</summary>
    private double ShareAhead(double[] reference, int arrival)
    {
        var rate = array.SampleRateHz;
        var (from, to, end) = (arrival - (int)(LongAheadSeconds * rate), arrival - (int)(JustAheadSeconds * rate), arrival + (int)(AheadSeconds * rate));
        if (from < Excerpts.Quiet || end > reference.Length)
            return 0;
        var background = MeanSquare(reference.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom));
        return Math.Max(0, MeanSquare(reference.AsSpan(from, to - from)) - 2 * background) / (MeanSquare(reference.AsSpan(arrival, end - arrival)) + 1e-300);

        static double MeanSquare(ReadOnlySpan<double> samples) => CholeskyFactor.Dot(samples, samples) / samples.Length;
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
