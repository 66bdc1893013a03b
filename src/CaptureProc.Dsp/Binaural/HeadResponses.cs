using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Binaural;

/// <summary>Impulse responses measured from directions around a head to its two ears.</summary>
/// <remarks>
/// Thread: [any] once made. Shape: TapCount samples for each (direction, ear), ear 0 the left one; directions in no order.
/// Unit: taps at SampleRateHz, on a scale of their own; delays in samples, to be put in front of the taps, fractions allowed.
/// Errors: lengths that do not fit each other, taps that are not finite.
/// </remarks>
public sealed class HeadResponses
{
    public const int Ears = 2;

    private readonly float[] taps;
    private readonly double[] delaySamples;

    public HeadResponses(string name, string notice, double sampleRateHz, IReadOnlyList<Direction> directions, int tapCount, float[] taps, double[] delaySamples)
    {
        if (!(sampleRateHz is >= 8000 and <= 768000))
            throw new ArgumentOutOfRangeException(nameof(sampleRateHz), sampleRateHz, "The sample rate has to lie between 8 and 768 kHz.");
        ArgumentOutOfRangeException.ThrowIfLessThan(tapCount, 1);
        if (taps.Length != directions.Count * Ears * tapCount)
            throw new ArgumentException($"{taps.Length} taps do not make {directions.Count} directions of 2 ears with {tapCount} each.", nameof(taps));
        if (delaySamples.Length != directions.Count * Ears)
            throw new ArgumentException($"{delaySamples.Length} delays for {directions.Count} directions of 2 ears.", nameof(delaySamples));
        foreach (var tap in taps)
            if (!float.IsFinite(tap))
                throw new ArgumentException("A tap is not a finite number.", nameof(taps));
        (Name, Notice, SampleRateHz, Directions, TapCount) = (name, notice, sampleRateHz, directions, tapCount);
        (this.taps, this.delaySamples) = (taps, delaySamples);
    }

    /// <summary>What the set calls itself.</summary>
    public string Name { get; }

    /// <summary>Who is to be cited, and under which terms the set may be used; empty where the set does not say.</summary>
    public string Notice { get; }

    public double SampleRateHz { get; }

    public IReadOnlyList<Direction> Directions { get; }

    public int TapCount { get; }

    public ReadOnlySpan<float> Taps(int direction, int ear) => taps.AsSpan((direction * Ears + ear) * TapCount, TapCount);

    public double DelaySamples(int direction, int ear) => delaySamples[direction * Ears + ear];
}
