using System.CommandLine;
using System.Text.Json.Nodes;
using CaptureProc.Analysis.Placement;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary>
/// <c>captureproc plan</c>: what room, distances and patterns will do to the recording, before anything is rigged; or, with a
/// rehearsal recording, what the array hears where it stands.
/// </summary>
internal static class PlanCommand
{
    public const string Name = "plan";

    private static readonly double[] UsualArrayDistancesM = [2, 3, 4, 6];
    private static readonly double[] UsualSpotDistancesM = [0.3, 0.5, 1];

    public static Command Create(Desk desk)
    {
        var session = new Argument<string?>("SESSION") { Description = "A session; its spots are taken at the distances measured.", Arity = ArgumentArity.ZeroOrOne };
        var files = new Argument<string[]>("REHEARSAL.wav…")
        {
            Description = $"A stretch of music; spots that were measured tell the direct sound. Several files count on; {TakeArguments.Between}",
            Arity = ArgumentArity.ZeroOrMore,
        };
        var from = Values.Number("--from", "Where the stretch of music begins. Usually the beginning.", "SECONDS", 0, 360000);
        var to = Values.Number("--to", "Where it ends. Usually the end.", "SECONDS", 0, 360000);
        var wanted = Values.Number("--target", "Direct sound over the hall that is wanted. Usually 0: both equal, as at the critical distance.", "DB", -20, 20);
        var array = Values.Text("--array", "The array that hears the rehearsal. Usually the main array, the first of the session.", "ID");
        var trim = Values.Text("--trim", "The trim set of the array, or 'none'. Usually the session's active one.", "SET");
        var volume = Values.Number("--volume", "Volume of the hall.", "M3", 10, 1_000_000);
        var reverberation = Values.Number("--reverberation", "Reverberation time of the hall.", "SECONDS", 0.05, 20);
        var pattern = Values.Number("--pattern", "Pattern of the spots: 0 figure-eight, 0.5 cardioid, 1 omni. Usually 0.5.", "PATTERN", 0, 1);
        var arrays = Values.Numbers("--array-distance", "Source to array. Usually 2,3,4,6.", "M", 0.05, 100);
        var spots = Values.Numbers("--spot-distance", "Source to spot. Usually 0.3,0.5,1.", "M", 0.02, 100);
        var temperature = Values.Number("--temperature", "Of the air. Usually that of the session, else 20.", "CELSIUS", -40, 60);
        var rate = Values.Number("--rate", "Sample rate for the delays. Usually that of the session, else 48000.", "HZ",
            SessionRules.MinSampleRate, SessionRules.MaxSampleRate);

        var ignoreStamps = GlobalOptions.IgnoreStamps();
        var command = new Command(Name, "Placement: arithmetic from hall and distances, or what a rehearsal recording says about the place.")
        {
            session, files, from, to, wanted, array, trim, volume, reverberation, pattern, arrays, spots, temperature, rate, ignoreStamps,
        };
        command.SetAction(parsed =>
        {
            if (parsed.GetValue(files) is { Length: > 0 } recordings)
            {
                if (Array.Find((Option[])[volume, reverberation, pattern, arrays, spots, temperature, rate], parsed.IsGiven) is { } other)
                    throw new UnusableInputException("bad-arguments", $"{other.Name} belongs to the arithmetic without a recording; leave it out, or leave out the recording");
                return RehearsalPlan.Run(desk, new RehearsalOrder(parsed.GetRequiredValue(session)!, new TakeFiles(recordings, parsed.GetValue(ignoreStamps)))
                {
                    FromSeconds = parsed.GetValue(from),
                    ToSeconds = parsed.GetValue(to),
                    WantedDb = parsed.GetValue(wanted) ?? PlacementAdvice.UsualWantedDb,
                    Array = parsed.GetValue(array),
                    Trim = parsed.GetValue(trim),
                });
            }
            if (Array.Find((Option[])[from, to, wanted, array, trim, ignoreStamps], parsed.IsGiven) is { } alone)
                throw new UnusableInputException("no-input", $"{alone.Name} needs a rehearsal recording; write captureproc plan SESSION REHEARSAL.wav {alone.Name} …");
            var document = parsed.GetValue(session) is { } path ? SessionStore.Read(path) : null;
            var spotPattern = new FirstOrderPattern(parsed.GetValue(pattern) ?? 0.5);
            IReadOnlyList<BleedPlan> bleed = document is null ? [] : BleedPlan.Of(document, spotPattern);
            // The stage needs no room: what bleeds where is direct sound.
            if (bleed.Count > 0 && !Array.Exists((Option[])[volume, reverberation, arrays, spots, temperature, rate], parsed.IsGiven))
                return Run(desk, bleed);
            var celsius = parsed.GetValue(temperature);
            var air = celsius is { } t ? Air.SpeedOfSoundMps(t) : document?.Air.SpeedOfSound ?? Air.SpeedOfSoundMps(20);
            var arrayDistancesM = OrUsual(parsed.GetValue(arrays), document is null ? UsualArrayDistancesM : []);
            var spotDistancesM = OrUsual(parsed.GetValue(spots), document is null ? UsualSpotDistancesM : []);
            return Run(desk, document, new PlacementPlan(Room(parsed.GetValue(volume), parsed.GetValue(reverberation), air),
                spotPattern, air,
                celsius ?? document?.Air.TemperatureC ?? 20, parsed.GetValue(rate) ?? document?.SampleRate ?? 48000)
            {
                Arrays = [.. arrayDistancesM],
                Spots = [.. spotDistancesM],
                Measured = document is null ? [] : PlacementPlan.MeasuredPlaces(document, air),
                Bleed = bleed,
            });
        });
        return command;
    }

    private static int Run(Desk desk, IReadOnlyList<BleedPlan> bleed)
    {
        BleedPlan.Show(desk, bleed);
        desk.Show(new JsonObject { ["bleed"] = BleedPlan.Json(bleed) });
        return Desk.Done;
    }

    private static int Run(Desk desk, SessionDocument? session, PlacementPlan plan)
    {
        if (session is not null && plan.Measured.Count == 0)
            desk.Warn("the session holds no measured distance; run 'captureproc measure' first, or give --array-distance and --spot-distance");
        if (desk.IsJson)
            desk.Show(PlacementReport.Json(plan));
        else
            PlacementReport.Show(desk, plan);
        return Desk.Done;
    }

    private static ReverberantRoom Room(double? volumeM3, double? seconds, double speedOfSoundMps) => (volumeM3, seconds) switch
    {
        ({ } volume, { } time) => new ReverberantRoom(volume, time, speedOfSoundMps),
        (null, null) => throw new UnusableInputException("no-room", "the hall is not given; add --volume M3 and --reverberation SECONDS"),
        (null, _) => throw new UnusableInputException("no-room", "the volume of the hall is not given; add --volume M3"),
        _ => throw new UnusableInputException("no-room", "the reverberation time of the hall is not given; add --reverberation SECONDS"),
    };

    private static bool IsGiven(this ParseResult parsed, Option option) => parsed.GetResult(option) is { Implicit: false };

    private static double[] OrUsual(double[]? given, double[] usual) => given is { Length: > 0 } ? given : usual;
}
