using CaptureProc.Session;

namespace CaptureProc.Plugins.Spots.Views;

/// <summary>What a window shows of the chosen spot, worked out once when the session or the choice has changed.</summary>
internal sealed class SpotShown
{
    // Where no session says how warm it is: 20 °C.
    private const double UsualSpeedMps = 343.2;

    public static SpotShown None { get; } = new(null, "", "");

    private SpotShown(SessionDocument? session, string name, string arrayName)
    {
        Name = name;
        SpeedOfSoundMps = session?.Air.SpeedOfSound is > 0 and var speed ? speed : UsualSpeedMps;
        if (session is null)
            return;
        var array = session.Arrays.FirstOrDefault(a => string.Equals(a.Id, arrayName, StringComparison.OrdinalIgnoreCase));
        Others = [.. session.Spots.Select(s => new StagePlace(s.Id, s.Direction?.AzimuthDeg, s.DistanceM))];
        if (session.Spots.FirstOrDefault(s => string.Equals(s.Id, name, StringComparison.OrdinalIgnoreCase)) is not { } found)
            return;
        Spot = array is null ? found : session.HeardBy(array, found);
        Source = SourceOf(Spot);
    }

    public string Name { get; }

    /// <summary>As measured against the array in use; null where the session has no such spot.</summary>
    public SpotEntry? Spot { get; }

    public double SpeedOfSoundMps { get; }

    /// <summary>Every spot of the session, for its place on the stage.</summary>
    public IReadOnlyList<StagePlace> Others { get; } = [];

    /// <summary>Where the delay comes from, in words.</summary>
    public string Source { get; } = "No spot of a session is chosen.";

    public static SpotShown Of(SessionDocument? session, string name, string arrayName) => new(session, name, arrayName);

    private static string SourceOf(SpotEntry spot)
    {
        if (spot.Delay is not { } delay)
            return spot.Note is { Length: > 0 } note ? $"Not measured: {note}" : "Not measured yet.";
        var from = delay.Source switch
        {
            "click" => "Measured from claps",
            "program" => "Measured from the music",
            { Length: > 0 } other => $"Measured from {other}",
            _ => "Measured",
        };
        return FormattableString.Invariant($"{from}, ± {delay.UncertaintySamples:0.00} samples, {100 * delay.Confidence:0} % sure");
    }
}

/// <summary>A spot on the stage; null where its direction or distance is not known.</summary>
internal sealed record StagePlace(string Name, double? AzimuthDeg, double? DistanceM);
