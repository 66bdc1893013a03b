using System.CommandLine;
using System.Text.Json.Nodes;
using CaptureProc.Analysis.Patch;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc patch</c>: which capsule is on which channel, and which way round.</summary>
internal static class PatchCommand
{
    public const string Name = "patch";

    // Longer recordings are takes, not checks, and would have to be held in memory.
    private const double LongestSeconds = 600;

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>("SESSION") { Description = "The session file; it keeps the verdict, the order on paper stays as it is." };
        var files = new Argument<string[]>("REC.wav…") { Description = $"The recording. Several files count on; {TakeArguments.Between}", Arity = ArgumentArity.OneOrMore };
        var taps = new Option<string?>("--taps")
        {
            Description = "One short noise close to each capsule in turn, in this order. Usually meant, in the session's order.",
            HelpName = "FLU,FRD,BLD,BRU",
            Arity = ArgumentArity.ZeroOrOne,
        };
        var claps = Values.Text("--claps", "One clap from each direction, in this order: front, back, left, right, up, down, or AZIMUTH:ELEVATION in degrees.", "front,left,up");
        var ambience = new Option<bool>("--ambience") { Description = "Any sound: finds inverted, dead and doubled channels, but no order." };
        var at = Values.Numbers("--at", "When the taps or claps are made, to within 0.3 s, instead of searching.", "SECONDS", 0, LongestSeconds);
        var array = Values.Text("--array", "The array that is checked. Usually the main array.", "ID");
        var ignoreStamps = GlobalOptions.IgnoreStamps();
        var command = new Command(Name, "Checks the order and the polarity of an array's channels.") { session, files, taps, claps, ambience, at, array, ignoreStamps };
        command.SetAction(parsed =>
        {
            var (tapOrder, clapDirections) = (parsed.GetValue(taps), parsed.GetValue(claps));
            if (new[] { parsed.GetResult(taps) is not null, clapDirections is not null, parsed.GetValue(ambience) }.Count(given => given) > 1)
                throw new UnusableInputException("bad-arguments", "--taps, --claps and --ambience are three ways to check; give one of them");
            var document = SessionStore.ReadToChange(parsed.GetRequiredValue(session));
            var entry = document.FindArray(parsed.GetValue(array));
            var recording = new TakeFiles(parsed.GetRequiredValue(files), parsed.GetValue(ignoreStamps));
            var channels = Read(desk, document, entry, recording);
            var directions = clapDirections?.Split(',', StringSplitOptions.TrimEntries).Select(ParseDirection).ToList();
            var times = parsed.GetValue(at) is { Length: > 0 } given ? given : null;
            var asked = directions?.Count ?? entry.Capsules.Count;
            if (times is not null && (parsed.GetValue(ambience) || times.Length != asked))
                throw new UnusableInputException("bad-arguments", parsed.GetValue(ambience)
                    ? "--at belongs to taps and claps; leave it out with --ambience"
                    : $"--at has {times.Length} times for {asked} {(directions is null ? "taps" : "claps")}; give one for each");
            var report = directions is not null
                ? PatchAnalysis.FromClaps(channels, document.SampleRate, entry, document.Air.SpeedOfSound, directions, times)
                : parsed.GetValue(ambience) ? PatchAnalysis.FromAmbience(channels, document.SampleRate, entry)
                : PatchAnalysis.FromTaps(channels, document.SampleRate, entry, ParseTaps(tapOrder, entry), document.Air.SpeedOfSound, times);
            Store(desk, parsed.GetRequiredValue(session), entry.Id, report, InputFingerprint.Of(Name, recording, recording.IgnoreStamps));
            return Show(desk, report);
        });
        return command;
    }

    private static float[][] Read(Desk desk, SessionDocument document, ArrayEntry array, TakeFiles files)
    {
        using var input = WavInput.Open(files);
        input.RequireSession(document);
        desk.Tell(input);
        input.RequireChannels(array.Channels, $"array '{array.Id}'");
        if (input.FrameCount > LongestSeconds * input.SampleRateHz)
            throw new UnusableInputException("too-long", FormattableString.Invariant($"{input.Files[0].Path}: lasts {(double)input.FrameCount / input.SampleRateHz:0} s; give the part with the noises, {LongestSeconds:0} s or less"));
        var planar = new float[]?[input.ChannelCount];
        foreach (var channel in array.Channels)
            planar[channel - 1] = new float[input.FrameCount];
        input.Read(planar, (int)input.FrameCount);
        return [.. array.Channels.Select(c => planar[c - 1]!)];
    }

    private static void Store(Desk desk, string sessionPath, string arrayId, PatchReport report, HistoryEntry entry)
    {
        var check = new PatchCheck
        {
            At = entry.At, Ok = report.IsOk, Order = report.Order is null ? null : [.. report.Order], Polarity = report.Polarity is null ? null : [.. report.Polarity],
            Confidence = Math.Round(report.Confidence, 4), Problems = [.. report.Problems],
        };
        SessionStore.Update(sessionPath, now => now with
        {
            Arrays = [.. now.Arrays.Select(a => a.Id == arrayId ? a with { Patch = check } : a)],
            History = [.. now.History, entry],
        }, desk.Waiting);
    }

    private static int Show(Desk desk, PatchReport report)
    {
        desk.Show(new JsonObject
        {
            ["ok"] = report.IsOk,
            ["order"] = report.Order is null ? null : Words(report.Order),
            ["expected"] = Words(report.Expected),
            ["polarity"] = report.Polarity is null ? null : new JsonArray([.. report.Polarity.Select(p => (JsonNode)p)]),
            ["confidence"] = Math.Round(report.Confidence, 4),
            ["problems"] = Words(report.Problems),
            ["notes"] = Words(report.Notes),
            ["warnings"] = desk.WarningsAsJson(),
        });
        if (report.Order is not null)
            desk.Show(FormattableString.Invariant($"Channels carry {string.Join(' ', report.Order)}, expected {string.Join(' ', report.Expected)} (confidence {report.Confidence:0.00})."));
        foreach (var problem in report.Problems)
            desk.Show($"{char.ToUpperInvariant(problem[0])}{problem[1..]}.");
        if (report.IsOk)
            desk.Show(report.Order is null ? "No channel is inverted, dead or doubled." : "Order and polarity are right.");
        foreach (var note in report.Notes)
            desk.Show($"Note: {note}.");
        return report.IsOk ? Desk.Done : Desk.NeedsAttention;
    }

    private static JsonArray Words(IEnumerable<string> words) => new([.. words.Select(w => (JsonNode)w)]);

    private static List<int> ParseTaps(string? text, ArrayEntry array)
    {
        if (text is null)
            return [.. Enumerable.Range(0, array.Capsules.Count)];
        var labels = text.Split(',', StringSplitOptions.TrimEntries);
        var capsules = labels.Select(l => array.Capsules.Index().Where(c => c.Item.Label.Equals(l, StringComparison.OrdinalIgnoreCase)).Select(c => c.Index).DefaultIfEmpty(-1).First()).ToList();
        return !capsules.Contains(-1) && capsules.Distinct().Count() == array.Capsules.Count && labels.Length == array.Capsules.Count
            ? capsules
            : throw new UnusableInputException("bad-order", $"--taps {text}: has to name each of {string.Join(",", array.Capsules.Select(c => c.Label))} once");
    }

    private static Direction ParseDirection(string text)
    {
        switch (text.ToLowerInvariant())
        {
            case "front": return new Direction(0, 0);
            case "back": return new Direction(180, 0);
            case "left": return new Direction(90, 0);
            case "right": return new Direction(-90, 0);
            case "up": return new Direction(0, 90);
            case "down": return new Direction(0, -90);
        }
        return text.Split(':') is [var azimuth, var elevation] && Values.TryParseNumber(azimuth, out var a) && Values.TryParseNumber(elevation, out var e) && e is >= -90 and <= 90
            ? new Direction(a, e)
            : throw new UnusableInputException("bad-arguments", $"--claps: '{text}' is no direction; write front, back, left, right, up, down, or AZIMUTH:ELEVATION as 45:0");
    }
}
