using CaptureProc.Session;

namespace CaptureProc.Report.Readings;

/// <summary>One player in two spots of the mix: what the two do to each other.</summary>
/// <param name="LevelDb">In the other spot, over the own one.</param>
/// <param name="ApartMs">In the mix, once both are lined up.</param>
/// <remarks>
/// A sound and its copy of relative size a, later by t: the sum ripples between 1+a and 1−a, with the first notch at 1/(2t). Closed form.
/// </remarks>
internal readonly record struct Combing(string Player, string Microphone, double LevelDb, double ApartMs)
{
    // Below this the ripple stays within 1 dB.
    private const double FaintDb = -25;

    // Nearer together they are one sound up to the top octave; farther apart the ear begins to hear an echo (common practice, no source).
    private const double LeastMs = 0.03, MostMs = 30;

    public double FirstNotchHz => 500 / Math.Abs(ApartMs);

    public double RippleDb => 20 * Math.Log10((1 + Size) / Math.Max(1e-3, Math.Abs(1 - Size)));

    private double Size => Math.Pow(10, LevelDb / 20);

    /// <summary>The worst first.</summary>
    public static IEnumerable<Combing> Of(IReadOnlyList<StageBleed> bleed) => bleed
        .Where(b => b.LevelDb >= FaintDb && b.AlignedMs is { } ms && Math.Abs(ms) is >= LeastMs and <= MostMs)
        .Select(b => new Combing(b.Player, b.Microphone, b.LevelDb!.Value, b.AlignedMs!.Value))
        .OrderByDescending(c => Math.Min(0, c.LevelDb));
}
