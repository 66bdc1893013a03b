using CaptureProc.Cli.Frame;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>What <c>--distance SPOT=METRES</c> says.</summary>
internal static class TapedDistances
{
    private const double LeastM = 0.3, MostM = 40;

    /// <summary>Metres by the id of a spot.</summary>
    public static IReadOnlyDictionary<string, double> Read(SessionDocument session, MeasureOrder order)
    {
        var taped = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var word in order.Distances)
        {
            var at = word.LastIndexOf('=');
            if (at <= 0 || !Values.TryParseNumber(word[(at + 1)..], out var metres) || metres is < LeastM or > MostM)
                throw new UnusableInputException("bad-arguments", FormattableString.Invariant(
                    $"--distance is '{word}'; write SPOT=METRES with {LeastM} to {MostM} m, as --distance harp=3.27"));
            taped[session.FindSpot(word[..at].Trim()).Id] = metres;
        }
        if (taped.Count > 0 && !session.IsMain(session.FindArray(order.Array)))
            throw new UnusableInputException("bad-arguments", $"--distance is taped from the main array '{session.MainArray().Id}'; leave --array out, or leave out --distance");
        return taped;
    }
}
