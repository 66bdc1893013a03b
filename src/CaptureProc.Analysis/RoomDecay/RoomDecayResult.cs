namespace CaptureProc.Analysis.RoomDecay;

/// <summary>One octave of the room's decay; null where the claps do not allow a figure.</summary>
public sealed record BandDecay(double NominalHz, double? EdtSeconds, double? T20Seconds, double? T30Seconds, double? C80Db);

/// <summary>What a slate says about the room, medians over its claps.</summary>
/// <param name="Bands">125 Hz to 4 kHz.</param>
/// <param name="ClickCount">Claps that went into it.</param>
public sealed record RoomDecayResult(IReadOnlyList<BandDecay> Bands, int ClickCount)
{
    /// <summary>Mean of the octaves 500 Hz and 1 kHz (ISO 3382-1, mid frequencies): of T30 where both have it, else of T20.</summary>
    /// <remarks>
    /// Claps are weak at 500 Hz. Where the background hides that octave or its neighbour, the mean is that of the octaves from 500 Hz
    /// to 2 kHz that have a figure; the bands tell which. So it is with the other two figures.
    /// </remarks>
    public double? ReverberationSeconds => Mid(b => b.T30Seconds) ?? Middle(b => b.T20Seconds);

    public double? EdtSeconds => Middle(b => b.EdtSeconds);

    public double? C80Db => Middle(b => b.C80Db);

    /// <summary>Standard deviation of <see cref="ReverberationSeconds"/>, as far as chance goes.</summary>
    /// <remarks>
    /// 0.88·T·√((1 + 1.9/n)/(N·B·T)) for T20, with n = 10 for an integrated impulse response, N claps and the bandwidth of
    /// both octaves together (ISO 3382-2, from memory).
    /// </remarks>
    public double? UncertaintySeconds => ReverberationSeconds is { } seconds
        ? 0.88 * seconds * Math.Sqrt(1.19 / (ClickCount * (353 + 707) * seconds))
        : null;

    private double? Middle(Func<BandDecay, double?> figure) => Mid(figure)
        ?? (Bands.Where(b => b.NominalHz is 500 or 1000 or 2000).Select(figure).OfType<double>().ToList() is { Count: > 0 } found ? found.Average() : null);

    private double? Mid(Func<BandDecay, double?> figure)
    {
        var found = Bands.Where(b => b.NominalHz is 500 or 1000).Select(figure).OfType<double>().ToList();
        return found.Count == 2 ? found.Average() : null;
    }
}
