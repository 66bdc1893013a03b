using System.Globalization;
using CaptureProc.Analysis.Clicks;

namespace CaptureProc.SlateFigures;

/// <summary>One spot: what was found beside what is true.</summary>
internal sealed record Figure(string Of, double TrueDelaySamples, SpotResult Result, double DirectionErrorDeg, int TruePolarity)
{
    public bool IsGiven => Result.DelaySamples is not null;

    public bool IsSure => IsGiven && Result.Confidence >= SpotJudgement.Sure;

    public double ErrorSamples => Math.Abs((Result.DelaySamples ?? double.NaN) - TrueDelaySamples);

    public override string ToString() => string.Create(CultureInfo.InvariantCulture,
        $"{Of}: true {TrueDelaySamples:0.000}, off {Result.DelaySamples - TrueDelaySamples:+0.000;-0.000} ± {Result.DelaySigma:0.000}, confidence {Result.Confidence:0.000}, direction off {DirectionErrorDeg:0.0} ± {Result.DirectionSigmaDeg:0.0} deg, polarity {Result.Polarity}; {Result.Note}");
}

/// <summary>Rows of the table in README.md.</summary>
internal static class FigureTable
{
    public const string Head = """
        | scenes | spots | given | median off | 95 % off | within 0.5 | sure | within 3 sigma, of the sure | off by 3 and confidence >= 0.5 | polarity wrong | direction median / 95 % |
        | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |
        """;

    public static string Row(string name, IReadOnlyList<Figure> figures)
    {
        var given = figures.Where(f => f.IsGiven).ToList();
        var sure = given.Where(f => f.IsSure).ToList();
        double[] off = [.. given.Select(f => f.ErrorSamples).Order()];
        double[] deg = [.. given.Where(f => !double.IsNaN(f.DirectionErrorDeg)).Select(f => f.DirectionErrorDeg).Order()];
        return string.Create(CultureInfo.InvariantCulture,
            $"| {name} | {figures.Count} | {Percent(given.Count, figures.Count)} | {At(off, 0.5):0.000} | {At(off, 0.95):0.000} | {Percent(off.Count(e => e <= 0.5), given.Count)} | {Percent(sure.Count, figures.Count)} | {Percent(sure.Count(f => f.ErrorSamples <= 3 * f.Result.DelaySigma), sure.Count)} | {given.Count(f => f.ErrorSamples >= 3 && f.Result.Confidence >= 0.5)} | {given.Count(f => f.Result.Polarity is { } p && p != f.TruePolarity)} | {At(deg, 0.5):0.0}° / {At(deg, 0.95):0.0}° |");
    }

    private static double At(double[] sorted, double share) => sorted.Length == 0 ? double.NaN : sorted[Math.Min(sorted.Length - 1, (int)(share * sorted.Length))];

    private static string Percent(int part, int whole) => whole == 0 ? "-" : (100.0 * part / whole).ToString("0.0", CultureInfo.InvariantCulture) + " %";
}
