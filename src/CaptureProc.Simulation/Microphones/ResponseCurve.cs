using System.Numerics;

namespace CaptureProc.Simulation.Microphones;

/// <summary>A low cut: Butterworth of order 1 to 4.</summary>
public sealed record LowCut(double CornerHz, int Order);

/// <summary>A rise or dip of the response: its middle, its height and its breadth.</summary>
public sealed record Bell(double MiddleHz, double GainDb, double Q);

/// <summary>The upper end: Butterworth of second order.</summary>
public sealed record RollOff(double CornerHz);

/// <summary>A plate that a boundary microphone lies on: level below its corner, 6 dB more above, where the plate is large for the wave.</summary>
/// <remarks>The corner is about c/(4·side): half a pressure doubling when a quarter wave fits. Common practice, no source.</remarks>
public sealed record Plate(double SideM)
{
    public double CornerHz(double speedOfSoundMps) => speedOfSoundMps / (4 * SideM);
}

/// <summary>What a microphone does to a wave on its axis, apart from its gain; every part may be missing.</summary>
/// <remarks>All parts are minimum phase, as the transducers themselves are (common practice, no source).</remarks>
public sealed record ResponseCurve
{
    public LowCut? LowCut { get; init; }

    /// <summary>Presence rise, and the small waves that tell one specimen from the next.</summary>
    public IReadOnlyList<Bell> Bells { get; init; } = [];

    public RollOff? RollOff { get; init; }

    public Plate? Plate { get; init; }

    /// <summary>The curve as a row of filters at a rate; a corner above 0.48 of the rate is beyond the band and left out.</summary>
    public Biquad[] Filters(double sampleRateHz, double speedOfSoundMps)
    {
        var filters = new List<Biquad>();
        if (LowCut is { } cut)
            AddButterworthLowCut(cut, sampleRateHz, filters);
        foreach (var bell in Bells)
            if (bell.MiddleHz < 0.48 * sampleRateHz)
                filters.Add(Biquad.Bell(bell.MiddleHz, bell.GainDb, bell.Q, sampleRateHz));
        if (RollOff is { } end && end.CornerHz < 0.48 * sampleRateHz)
            filters.Add(Biquad.RollOff(end.CornerHz, Math.Sqrt(0.5), sampleRateHz));
        if (Plate is { } plate)
            filters.Add(Biquad.FirstOrderShelf(plate.CornerHz(speedOfSoundMps), 6.02, sampleRateHz));
        return [.. filters];
    }

    /// <summary>The complex response at a frequency.</summary>
    public Complex At(double frequencyHz, double sampleRateHz, double speedOfSoundMps)
    {
        var product = Complex.One;
        foreach (var filter in Filters(sampleRateHz, speedOfSoundMps))
            product *= filter.At(frequencyHz, sampleRateHz);
        return product;
    }

    private static void AddButterworthLowCut(LowCut cut, double sampleRateHz, List<Biquad> filters)
    {
        if (cut.Order is < 1 or > 4)
            throw new ArgumentOutOfRangeException(nameof(cut), cut.Order, "A low cut has order 1 to 4.");
        if (int.IsOddInteger(cut.Order))
            filters.Add(Biquad.FirstOrderLowCut(cut.CornerHz, sampleRateHz));
        for (var pair = 0; pair < cut.Order / 2; pair++)
        {
            // Poles of Butterworth's circle: Q = 1/(2·cos θ), θ counted from the real axis.
            var angle = Math.PI / cut.Order * (pair + (int.IsOddInteger(cut.Order) ? 1 : 0.5));
            filters.Add(Biquad.LowCut(cut.CornerHz, 1 / (2 * Math.Cos(angle)), sampleRateHz));
        }
    }
}
