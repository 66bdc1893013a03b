using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Rendering.Mixing;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc mix</c>: array and placed, aligned spots in one B-format file.</summary>
internal static class MixCommand
{
    public const string Name = "mix";

    private const double MinGainDb = -120, MaxGainDb = 60;

    public static Command Create(Desk desk)
    {
        var arguments = new TakeArguments("OUT.wav", "the B-format file to write.");
        var gains = Values.Texts("--gain", "Gain of all spots, or of one: 0 leaves it as recorded. Usually the measured gains ('session'), by which each spot is as loud as its player is in the array.", "[ID=]DB");
        var level = Values.Number("--mix-gain", "Gain of the whole mix. Usually 0.", "DB", MinGainDb, MaxGainDb).FormerlyCalled("--level");
        var options = new AlignmentOptions();
        var command = new Command(Name, "Mixes the array and its placed, aligned spots into one B-format file.");
        arguments.AddTo(command);
        command.Options.Add(gains);
        command.Options.Add(level);
        options.AddTo(command);
        command.SetAction(parsed => Run(desk, arguments.Read(parsed), parsed.GetValue(gains)!, new MixSettings
        {
            Alignment = options.Read(parsed),
            LevelDb = parsed.GetValue(level) ?? 0,
        }));
        return command;
    }

    private static int Run(Desk desk, (string Session, TakeFiles Take, string Output) files, string[] gains, MixSettings settings)
    {
        var session = SessionStore.Read(files.Session);
        settings = WithGains(settings, gains, session);
        MixResult result;
        using (var progress = desk.Progress(Name))
            result = TakeMixer.Mix(session, files.Take, files.Output, settings, progress);

        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"{files.Output}: array '{result.ArrayId}' and {result.Mixed.Count} of {session.Spots.Count} spots, {(double)result.Frames / session.SampleRate:0.000} s at {session.SampleRate} Hz, {FieldOptions.Word(settings.Alignment.Field.Conversion.Format)}, order {settings.Alignment.Order}"));
        if (AlignmentWords.HeldBack(result.Plan) is { } heldBack)
            desk.Show(heldBack);
        desk.Show(Gains(result, settings));
        var exitCode = desk.Tell(result.Warnings, result.Findings);
        desk.Show(new JsonObject
        {
            ["output"] = files.Output,
            ["array"] = result.ArrayId,
            ["order"] = settings.Alignment.Order,
            ["format"] = FieldOptions.Word(settings.Alignment.Field.Conversion.Format),
            ["sampleRate"] = session.SampleRate,
            ["frames"] = result.Frames,
            ["heldBackSamples"] = result.Plan.HeldBackFrames,
            ["heldBackMs"] = Math.Round(result.Plan.HeldBackMs, 4),
            ["spots"] = new JsonArray([.. result.Plan.Spots.Select(spot =>
            {
                var json = AlignmentWords.ToJson(spot);
                json["mixed"] = result.Mixed.Contains(spot);
                json["gainDb"] = settings.GainDbOf(spot.Spot);
                return json;
            })]),
            ["warnings"] = desk.WarningsAsJson(),
        });
        return exitCode;
    }

    private static string Gains(MixResult result, MixSettings settings)
    {
        var gains = string.Join(", ", result.Mixed.Select(s => string.Create(CultureInfo.InvariantCulture, $"{s.Spot.Id} {settings.GainDbOf(s.Spot):+0.0;-0.0;0.0} dB")));
        var isMeasured = result.Mixed.Any(s => s.Spot.GainDb is not null && settings.GainDbOf(s.Spot) == s.Spot.GainDb);
        return result.Mixed.Count == 0 ? "the array alone"
            : isMeasured ? $"gains of the spots, as measured, so that each is as loud as its player is in the array (others with --gain): {gains}"
            : $"gains of the spots: {gains}";
    }

    private static MixSettings WithGains(MixSettings settings, string[] words, SessionDocument session)
    {
        var own = new Dictionary<string, double>();
        foreach (var word in words)
        {
            if (word == "session")
            {
                foreach (var spot in session.HeardBy(session.FindArray(settings.Alignment.Field.ArrayId)).Spots)
                    own[spot.Id] = spot.GainDb
                        ?? throw new UnusableInputException("no-gain", $"--gain session: spot '{spot.Id}' has no gain in the session; run 'measure', or give --gain {spot.Id}=DB");
                continue;
            }
            var at = word.LastIndexOf('=');
            if (!Values.TryParseNumber(word[(at + 1)..], out var gainDb) || gainDb is < MinGainDb or > MaxGainDb)
                throw new UnusableInputException("bad-arguments", FormattableString.Invariant(
                    $"--gain is '{word}'; it has to be a number of dB from {MinGainDb} to {MaxGainDb}, ID=DB for one spot, or 'session'"));
            if (at > 0)
                own[session.FindSpot(word[..at]).Id] = gainDb;
            else
                settings = settings with { SpotGainDb = gainDb };
        }
        return settings with { SpotGainsDb = own };
    }
}
