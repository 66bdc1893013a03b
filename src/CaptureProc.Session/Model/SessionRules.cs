using System.Globalization;

namespace CaptureProc.Session;

/// <summary>What has to hold in a session before anything is computed from it.</summary>
/// <remarks>Each refusal names the file, the member, its value and the range: it is read by a person who mends it by hand.</remarks>
public static class SessionRules
{
    public const int MinSampleRate = 8000;
    public const int MaxSampleRate = 768000;
    public const int CapsulesPerArray = 4;

    /// <summary>Ten times what the worst recorder's crystal is off by; anything more is another sampling rate.</summary>
    public const int MaxDriftPpm = 1000;

    /// <summary>More than any preamp's range: what lies beyond is no trim but damage.</summary>
    public const int MaxTrimDb = 60;

    /// <summary>What a delay can be: recorders that were started further apart are lined up by their time stamps.</summary>
    public const int MaxDelaySeconds = 120;

    /// <param name="document">The session.</param>
    /// <param name="name">What the message calls it: the file's name.</param>
    public static void Check(SessionDocument document, string name)
    {
        ArgumentNullException.ThrowIfNull(document);
        var rules = new Rules(name);
        rules.Require(document.SampleRate is >= MinSampleRate and <= MaxSampleRate, "sampleRate", document.SampleRate,
            $"{MinSampleRate} to {MaxSampleRate} Hz");
        rules.Require(document.Air.SpeedOfSound is >= 250 and <= 450, "air.speedOfSound", document.Air.SpeedOfSound, "250 to 450 m/s");
        rules.Require(document.Air.TemperatureC is >= -40 and <= 60, "air.temperatureC", document.Air.TemperatureC, "-40 to 60 °C");
        rules.Names("arrays", document.Arrays.Select(a => a.Id));
        rules.Names("spots", document.Spots.Select(s => s.Id));
        if (document.Room?.ReverberationSeconds is { } seconds)
            rules.Require(seconds is > 0 and <= 30, "room.reverberationSeconds", seconds, "more than 0, at most 30 s");
        for (var i = 0; i < document.Notes?.Takes.Count; i++)
            rules.Require(document.Notes.Takes[i] is { File.Length: > 0 }, $"notes.takes[{i}].file", "missing or empty", "the name of a recording");
        for (var i = 0; i < document.History.Count; i++)
            for (var j = 0; j < document.History[i].Inputs.Count; j++)
            {
                rules.Require(document.History[i].Inputs[j] is { File: not null }, $"history[{i}].inputs[{j}].file", "missing", "the name of a file");
                rules.Require(document.History[i].Inputs[j].Sha256 is not null, $"history[{i}].inputs[{j}].sha256", "missing", "a fingerprint, or empty");
            }
        for (var i = 0; i < document.Arrays.Count; i++)
            CheckArray(rules, document.Arrays[i], $"arrays[{i}]");
        for (var i = 0; i < document.Spots.Count; i++)
            CheckSpot(rules, document, document.Spots[i], $"spots[{i}]");
        if (document.Stage is { } stage)
            CheckStage(rules, stage);
    }

    private static void CheckStage(Rules rules, StageEntry stage)
    {
        for (var i = 0; i < stage.Spots.Count; i++)
            rules.Require(!stage.Spots.Take(i).Any(s => s.Id == stage.Spots[i].Id), $"stage.spots[{i}].id", stage.Spots[i].Id, "a name of its own");
        for (var i = 0; i < stage.Arrays.Count; i++)
            rules.Require(!stage.Arrays.Take(i).Any(a => a.Id == stage.Arrays[i].Id), $"stage.arrays[{i}].id", stage.Arrays[i].Id, "a name of its own");
        for (var i = 0; i < stage.Spots.Count; i++)
            CheckPlace(rules, stage.Spots[i].PositionM, stage.Spots[i].CovarianceM2, $"stage.spots[{i}]");
        for (var i = 0; i < stage.Claps.Count; i++)
            CheckPlace(rules, stage.Claps[i].PositionM, stage.Claps[i].CovarianceM2, $"stage.claps[{i}]");
        for (var i = 0; i < stage.Arrays.Count; i++)
            CheckPlace(rules, stage.Arrays[i].PositionM, stage.Arrays[i].CovarianceM2, $"stage.arrays[{i}]");
    }

    private static void CheckPlace(Rules rules, IReadOnlyList<double> place, IReadOnlyList<double> covariance, string at)
    {
        rules.Require(place.Count == 3, $"{at}.positionM", place.Count, "three numbers: x, y, z in metres");
        rules.Require(covariance.Count == 6, $"{at}.covarianceM2", covariance.Count, "six numbers: xx, xy, xz, yy, yz, zz");
        rules.Require(covariance[0] >= 0 && covariance[3] >= 0 && covariance[5] >= 0, $"{at}.covarianceM2", $"[{string.Join(", ", covariance.Select(v => v.ToString(CultureInfo.InvariantCulture)))}]", "variances of 0 or more");
    }

    private static void CheckArray(Rules rules, ArrayEntry array, string at)
    {
        rules.Channels($"{at}.channels", array.Channels);
        rules.Require(array.Capsules.Count == CapsulesPerArray, $"{at}.capsules", array.Capsules.Count, "four capsules");
        rules.Require(array.Channels.Count == array.Capsules.Count, $"{at}.channels", array.Channels.Count, "one channel for each capsule");
        rules.Require(array.RadiusMm is > 0 and <= 200, $"{at}.radiusMm", array.RadiusMm, "more than 0, at most 200 mm");
        rules.Require(array.Pattern is >= 0 and <= 1, $"{at}.pattern", array.Pattern, "0 (figure-eight) to 1 (omni)");
        for (var i = 0; i < array.Capsules.Count; i++)
            rules.Require(array.Capsules.Index().All(c => c.Index == i || !c.Item.Label.Equals(array.Capsules[i].Label, StringComparison.OrdinalIgnoreCase)),
                $"{at}.capsules[{i}].label", $"\"{array.Capsules[i].Label}\"", "different from the labels of the other capsules");
        for (var i = 0; i < array.TrimSets.Count; i++)
        {
            var set = array.TrimSets[i];
            for (var c = 0; c < set.Db.Count; c++)
                rules.Require(set.Db[c] is >= -MaxTrimDb and <= MaxTrimDb, $"{at}.trimSets[{i}].db[{c}]", set.Db[c], $"-{MaxTrimDb} to {MaxTrimDb} dB");
            rules.Require(set.Db.Count == array.Channels.Count, $"{at}.trimSets[{i}].db", set.Db.Count, "one value for each channel");
            rules.Require(set.ToleranceDb is null or > 0, $"{at}.trimSets[{i}].toleranceDb", set.ToleranceDb ?? 0, "more than 0 dB");
        }
        if (array.ActiveTrim is { } active)
            rules.Require(array.TrimSets.Any(t => t.Name == active), $"{at}.activeTrim", $"\"{active}\"",
                array.TrimSets.Count == 0 ? "null, as there is no trim set" : $"one of {string.Join(", ", array.TrimSets.Select(t => t.Name))}");
    }

    private static void CheckSpot(Rules rules, SessionDocument document, SpotEntry spot, string at)
    {
        rules.Channels($"{at}.channels", spot.Channels);
        rules.Require(spot.Polarity is null or 1 or -1, $"{at}.polarity", spot.Polarity ?? 0, "1, -1 or null");
        if (spot.Delay is { } delay)
            CheckDelay(rules, document, delay.Samples, delay.Confidence, delay.UncertaintySamples, $"{at}.delay");
        CheckClock(rules, spot.Clock, $"{at}.clock");
        for (var i = 0; i < (spot.Delays?.Count ?? 0); i++)
        {
            var other = spot.Delays![i];
            rules.Require(document.Arrays.Any(a => string.Equals(a.Id, other.Array, StringComparison.OrdinalIgnoreCase)),
                $"{at}.delays[{i}].array", $"\"{other.Array}\"", "the id of an entry of arrays");
            rules.Require(!spot.Delays.Take(i).Any(d => string.Equals(d.Array, other.Array, StringComparison.OrdinalIgnoreCase)),
                $"{at}.delays[{i}].array", $"\"{other.Array}\"", "another array than those before it");
            rules.Require(other.Polarity is null or 1 or -1, $"{at}.delays[{i}].polarity", other.Polarity ?? 0, "1, -1 or null");
            CheckDelay(rules, document, other.Samples, other.Confidence, other.UncertaintySamples, $"{at}.delays[{i}]");
            CheckClock(rules, other.Clock, $"{at}.delays[{i}].clock");
        }
        if (spot.ArrayId is { } id)
            rules.Require(document.Arrays.Any(a => a.Id == id), $"{at}.arrayId", $"\"{id}\"", "the id of an entry of arrays");
    }

    private static void CheckDelay(Rules rules, SessionDocument document, double samples, double confidence, double uncertaintySamples, string at)
    {
        var most = (long)MaxDelaySeconds * document.SampleRate;
        rules.Require(Math.Abs(samples) <= most, $"{at}.samples", samples, $"{-most} to {most} ({MaxDelaySeconds} s)");
        rules.Require(confidence is >= 0 and <= 1, $"{at}.confidence", confidence, "0 to 1");
        rules.Require(uncertaintySamples >= 0, $"{at}.uncertaintySamples", uncertaintySamples, "0 or more");
    }

    private static void CheckClock(Rules rules, SpotClock? clock, string at)
    {
        if (clock is null)
            return;
        rules.Require(clock.DriftPpm is >= -MaxDriftPpm and <= MaxDriftPpm, $"{at}.driftPpm", clock.DriftPpm, $"-{MaxDriftPpm} to {MaxDriftPpm} ppm");
        rules.Require(clock.UncertaintyPpm >= 0, $"{at}.uncertaintyPpm", clock.UncertaintyPpm, "0 or more");
        rules.Require(clock.AtSeconds >= 0, $"{at}.atSeconds", clock.AtSeconds, "0 or more");
    }

    private readonly struct Rules(string name)
    {
        public void Require(bool holds, string member, object value, string range)
        {
            if (!holds)
                throw new UnusableInputException("session-invalid",
                    string.Create(CultureInfo.InvariantCulture, $"{name}: {member} is {value}; it has to be {range}"));
        }

        public void Channels(string member, IReadOnlyList<int> channels)
        {
            Require(channels.Count > 0, member, "empty", "a list of channels, counted from 1");
            foreach (var channel in channels)
                Require(channel >= 1, member, channel, "1 or more: channels are counted from 1");
            foreach (var channel in channels)
                Require(channels.Count(c => c == channel) == 1, member, $"[{string.Join(", ", channels)}]", "a list without repetition");
        }

        public void Names(string list, IEnumerable<string> ids)
        {
            var seen = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
            foreach (var (index, id) in ids.Index())
            {
                // An id becomes part of a file name, so it has to be one on every system.
                var usable = id.Length is > 0 and <= 64 && id.Trim() == id && id[0] != '.' && id[^1] != '.'
                    && !id.Any(c => char.IsControl(c) || "/\\:*?\"<>|=,".Contains(c, StringComparison.Ordinal));
                Require(usable, $"{list}[{index}].id", $"\"{id}\"", "a name of 1 to 64 characters without any of / \\ : * ? \" < > | = ,");
                Require(seen.Add(id), $"{list}[{index}].id", $"\"{id}\"", "different from the ids before it");
            }
        }
    }
}
