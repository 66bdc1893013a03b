namespace CaptureProc.Analysis.Placement;

/// <summary>A third of an octave band: so narrow that what a microphone does to its phase there is nearly one number.</summary>
/// <remarks>
/// Thread: [any]. A low cut of the fourth order at 150 Hz turns the phase by 70° within the octave of 250 Hz, and by 25° within a third of it:
/// one factor for the octave would leave a third of the direct sound to the rest, one for the third some per cent.
/// </remarks>
/// <param name="Band">The octave, by its place in the list.</param>
/// <param name="LowHz">Where it begins.</param>
/// <param name="HighHz">Where it ends.</param>
internal readonly record struct LevelCell(int Band, double LowHz, double HighHz)
{
    private const int PerBand = 3;

    public double CentreHz => Math.Sqrt(LowHz * HighHz);

    public (int First, int End) Bins(double binHz) => ((int)Math.Ceiling(LowHz / binHz), (int)Math.Ceiling(HighHz / binHz));

    public static IReadOnlyList<LevelCell> Of(IReadOnlyList<OctaveBand> bands) =>
    [
        .. Enumerable.Range(0, bands.Count * PerBand).Select(i =>
        {
            var (band, step) = (bands[i / PerBand], i % PerBand);
            double Edge(int at) => band.LowHz * Math.Pow(band.HighHz / band.LowHz, at / (double)PerBand);
            return new LevelCell(i / PerBand, Edge(step), Edge(step + 1));
        }),
    ];
}
