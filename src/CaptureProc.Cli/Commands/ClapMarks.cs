using CaptureProc.Analysis.Clicks;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>Claps as people point to them: <c>12.4</c>, <c>12.4=harp</c>, several with commas between them.</summary>
internal static class ClapMarks
{
    private const double MaxSeconds = 360000;

    /// <summary>Null where none is given.</summary>
    public static (double Seconds, string? Spot)[]? Parse(string[] words)
    {
        var marks = words.SelectMany(word => word.Split(',', StringSplitOptions.TrimEntries)).Select(ParseOne).ToArray();
        return marks.Length > 0 ? marks : null;
    }

    /// <summary>The marks in the terms of the analysis; those of spots that are not measured by claps here are left out.</summary>
    public static IReadOnlyList<ClapMark>? For(IReadOnlyList<(double Seconds, string? Spot)>? marks, IReadOnlyList<SpotInput> spots) => marks is null
        ? null
        : [.. marks.Select(mark => (mark, Index: IndexOf(mark.Spot, spots))).Where(m => m.Index is null or >= 0)
            .Select(m => new ClapMark(m.mark.Seconds, m.Index))];

    private static int? IndexOf(string? spot, IReadOnlyList<SpotInput> spots) =>
        spot is null ? null : spots.Index().Where(s => s.Item.Id == spot).Select(s => s.Index).DefaultIfEmpty(-1).First();

    private static (double Seconds, string? Spot) ParseOne(string word)
    {
        var at = word.IndexOf('=', StringComparison.Ordinal);
        var time = at < 0 ? word : word[..at];
        if (!Values.TryParseNumber(time, out var seconds) || seconds is < 0 or > MaxSeconds || at == word.Length - 1)
            throw new UnusableInputException("bad-arguments", FormattableString.Invariant(
                $"--at has '{word}'; it has to be seconds from 0 to {MaxSeconds:0}, or seconds and a spot as 12.4=harp, with commas between them"));
        return (seconds, at < 0 ? null : word[(at + 1)..].Trim());
    }
}
