using System.Globalization;
using CaptureProc.Analysis.Clicks;

namespace CaptureProc.Analysis.Clock;

/// <summary>What two slates say about a spot on a recorder of its own.</summary>
/// <param name="Spot">As for any spot, at the head slate; its distance is not known, since the delay holds the recorders' offset too.</param>
/// <param name="DriftPpm">Positive: the spot's clock is fast; null where it could not be measured.</param>
/// <param name="DriftSigmaPpm">Standard deviation.</param>
/// <param name="AtSeconds">When, on the array's clock, the spot's delay is the one that is stated.</param>
public sealed record ClockResult(SpotResult Spot, double? DriftPpm, double DriftSigmaPpm, double AtSeconds)
{
    /// <summary>When the tail slate is heard in the array.</summary>
    public double TailSeconds { get; init; }
}

/// <summary>Measures how the clock of a spot's recorder runs against the array's, from a slate at the head and one at the tail.</summary>
/// <remarks>
/// Thread: [main]. The delay of the spot falls by ε·fs each second when its clock is fast by ε, so two delays give the drift:
/// ε = −(d₂ − d₁)/(n₂ − n₁), σ_ε = √(σ₁² + σ₂²)/(n₂ − n₁). Over an hour at 48 kHz two delays good to 0.05 samples leave 0.0004 ppm.
/// At each slate the recorders' offset is taken out to a millisecond first, so that the spot hears the clap a little before the
/// array as any spot does, and the click estimator finds the rest. The air is taken not to change between the slates: one kelvin
/// moves a source at 4 m by a sample.
/// </remarks>
public sealed class ClockMeasurement
{
    /// <summary>Below this the drift would be known worse than crystals are made.</summary>
    public const double LeastSeconds = 10;

    /// <summary>Files of two recorders have to be lined up to within this by hand at the head.</summary>
    public const double HeadReachSeconds = 0.5;

    // Ten times what a recorder's crystal is off by, for the way from head to tail.
    private const double LargestDrift = 200e-6;
    private const double TailReachSeconds = 0.05;
    private const double SpanSeconds = 2;

    // Where spots stand, they hear a clap some milliseconds before the array.
    private const double LeadSeconds = 0.005;

    private readonly IFrameSource source;
    private readonly SlateInput input;
    private readonly SlateOffset offsets;

    public ClockMeasurement(IFrameSource source, SlateInput input)
    {
        (this.source, this.input) = (source, input);
        offsets = new SlateOffset(source, input.SampleRateHz);
    }

    /// <summary>As below, with the slates taken to be the most sudden sounds of the first and the last quarter in the spot itself.</summary>
    /// <param name="spot">Index of the spot in the input.</param>
    /// <param name="progress">Told how many frames have been searched.</param>
    public ClockResult Measure(int spot, Action<long>? progress = null)
    {
        var own = input.Spots[spot];
        var events = new SlateScan(source, input with { Spots = [own] }).Find(0, source.FrameCount, progress);
        var head = events.FindAll(e => e.Frame < source.FrameCount / 4);
        var tail = events.FindAll(e => e.Frame > source.FrameCount * 3 / 4);
        if (head.Count == 0 || tail.Count == 0)
            return Nothing(own.Id, $"no clap was found in the {(head.Count == 0 ? "first" : "last")} quarter of the recording; say where they are with --at HEAD,TAIL");
        return Measure(spot, head.MaxBy(e => e.Prominence).Frame / input.SampleRateHz, tail.MaxBy(e => e.Prominence).Frame / input.SampleRateHz, isSpotTime: true);
    }

    /// <param name="spot">Index of the spot in the input.</param>
    /// <param name="headSeconds">Where the slates are in the array, to within 0.3 s.</param>
    /// <param name="tailSeconds">The later one.</param>
    public ClockResult Measure(int spot, double headSeconds, double tailSeconds) => Measure(spot, headSeconds, tailSeconds, isSpotTime: false);

    private ClockResult Measure(int spot, double headSeconds, double tailSeconds, bool isSpotTime)
    {
        var id = input.Spots[spot].Id;
        if (!(tailSeconds - headSeconds >= LeastSeconds))
            return Nothing(id, Say($"a clock needs two slates at least {LeastSeconds:0} s apart; clap at the head and at the tail"));
        var head = At(spot, headSeconds, isSpotTime, 0, HeadReachSeconds);
        if (head.Result.DelaySamples is not { } first)
            return Nothing(id, $"head slate: {head.Result.Note}");
        var tail = At(spot, tailSeconds, isSpotTime, head.ShiftFrames, LargestDrift * (tailSeconds - headSeconds) + TailReachSeconds);
        if (tail.Result.DelaySamples is not { } second)
            return Nothing(id, $"tail slate: {tail.Result.Note}");

        var apart = tail.ArrivalFrame - head.ArrivalFrame;
        var drift = -(second - first) / apart;
        var sigma = Math.Sqrt(head.Result.DelaySigma * head.Result.DelaySigma + tail.Result.DelaySigma * tail.Result.DelaySigma) / apart;
        var disagree = head.Result.Polarity is { } a && tail.Result.Polarity is { } b && a != b;
        var result = head.Result with
        {
            Confidence = head.Result.Confidence * tail.Result.Confidence,
            Polarity = disagree ? null : head.Result.Polarity ?? tail.Result.Polarity,
            DistanceM = null,
            ClickCount = 2,
            Note = Join(head.Result.Note, tail.Result.Note, disagree ? "head and tail slate disagree on the polarity: check it by ear" : null),
        };
        return new ClockResult(result, drift * 1e6, sigma * 1e6, head.ArrivalFrame / input.SampleRateHz)
        {
            TailSeconds = tail.ArrivalFrame / input.SampleRateHz,
        };
    }

    private SlateReading At(int spot, double seconds, bool isSpotTime, long expectedFrames, double reachSeconds)
    {
        long Frames(double time) => (long)(time * input.SampleRateHz);
        var own = input.Spots[spot];
        if (isSpotTime)
            seconds += expectedFrames / input.SampleRateHz;
        var shift = offsets.Find(input.ArraySet, own.Set, Frames(seconds), Frames(SpanSeconds), expectedFrames, Frames(reachSeconds)) - Frames(LeadSeconds);
        if (isSpotTime)
            seconds += (shift - expectedFrames) / input.SampleRateHz;
        var shifted = new ShiftedFrameSource(source, own.Set.Channels, shift);
        var measured = new SlateMeasurement(shifted, input with { Spots = [own] }).Measure([seconds]);
        var result = measured.Spots[0];
        if (result.DelaySamples is not { } fine || measured.Clicks.Count == 0)
            return new SlateReading(result, shift, 0);
        // Frames of 2^53 and more would be needed to lose a digit of the sum.
        return new SlateReading(result with { DelaySamples = shift + fine }, shift, measured.Clicks[0].TimeSeconds * input.SampleRateHz + fine);
    }

    private static ClockResult Nothing(string id, string note) => new(new SpotResult(id) { Note = note }, null, 0, 0);

    private static string? Join(params string?[] notes)
    {
        var said = notes.OfType<string>().Distinct().ToList();
        return said.Count == 0 ? null : string.Join("; ", said);
    }

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private readonly record struct SlateReading(SpotResult Result, long ShiftFrames, double ArrivalFrame);
}
