using System.CommandLine;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Clock;
using CaptureProc.Analysis.Measuring;
using CaptureProc.Analysis.Program;
using CaptureProc.Analysis.RoomDecay;
using CaptureProc.Analysis.Stage;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc measure</c>: the analysis pass over a slate, or over the music itself.</summary>
internal static class MeasureCommand
{
    public const string Name = "measure";

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>("SESSION") { Description = "The session file; what is measured is entered there." };
        var files = new Argument<string[]>("REC.wav…")
        {
            Description = $"The recording of the claps, in one file or several whose channels count on; {TakeArguments.Between}",
            Arity = ArgumentArity.OneOrMore,
        };
        var at = Values.Texts("--at", "Where the claps are, to within 0.3 s, instead of searching; with its spot, to within 0.05 s, as 12.4=harp.", "SECONDS[=SPOT],…");
        var program = new Option<bool>("--program") { Description = "Do without claps: take the delays from the music." };
        var array = Values.Text("--array", "The array to line up with. Usually the main array, the first of the session.", "ID");
        var trim = Values.Text("--trim", "The trim set of the array, or 'none'. Usually the session's active one.", "SET");
        var ownClock = Values.Texts("--own-clock", "A spot on a recorder of its own; its drift is taken from a clap at the head and one at the tail. Usually the spots that the session says have one.", "SPOT");
        var ignoreStamps = GlobalOptions.IgnoreStamps();
        var distance = Values.Texts("--distance", "A distance that was taped, from the main array's centre to the microphone of a spot: it gives the speed of sound, and so the temperature.", "SPOT=METRES");
        var command = new Command(Name, "Finds the claps and measures delay, polarity, direction, distance and level of every spot.")
        {
            session, files, at, program, ownClock, array, trim, distance, ignoreStamps,
        };
        command.SetAction(parsed => Run(desk, new MeasureOrder(
            parsed.GetRequiredValue(session), new TakeFiles(parsed.GetRequiredValue(files), parsed.GetValue(ignoreStamps)), ClapMarks.Parse(parsed.GetValue(at)!),
            parsed.GetValue(program), parsed.GetValue(array), parsed.GetValue(trim), parsed.GetValue(ownClock)!)
        {
            Distances = parsed.GetValue(distance)!,
        }));
        return command;
    }

    private static int Run(Desk desk, MeasureOrder order)
    {
        if (order is { IsProgram: true, At: not null })
            throw new UnusableInputException("bad-arguments", "--at and --program exclude each other: music has no claps; give one of them");
        if (order is { IsProgram: true, Distances.Length: > 0 })
            throw new UnusableInputException("bad-arguments", "--distance goes with claps, and --program does without them; leave one of them out");
        var session = SessionStore.ReadToChange(order.Session);
        if (order.At is { } marks)
            order = order with { At = [.. marks.Select(mark => mark with { Spot = mark.Spot is { } id ? session.FindSpot(id).Id : null })] };
        var clocked = OwnClocks.Names(session, order);
        var warnings = new List<string>();
        var input = SessionSlate.Describe(session, order.Array, order.Trim, warnings);
        using var recording = WavInput.Open(order.Files);
        recording.RequireSession(session);
        recording.RequireChannels(session.FindArray(order.Array).Channels, $"array '{session.FindArray(order.Array).Id}'");
        foreach (var spot in session.Spots)
            recording.RequireChannels(spot.Channels, $"spot '{spot.Id}'");
        foreach (var (time, _) in order.At ?? [])
            if (time * recording.SampleRateHz >= recording.FrameCount)
                throw new UnusableInputException("bad-arguments", FormattableString.Invariant(
                    $"--at {time}: lies beyond the end of the recording, which is {(double)recording.FrameCount / recording.SampleRateHz:0.000} s long"));
        warnings.ForEach(desk.Warn);
        desk.Tell(recording);

        // The files are hashed beside the measurement; both read them, and together they take hardly longer than one.
        var history = Task.Run(() => InputFingerprint.Of(CommandOf(order, session), order.Files, order.Files.IgnoreStamps));
        var source = new ChannelWatch(new WavFrameSource(recording));
        var measured = order.IsProgram ? MeasureProgram(desk, source, input) : MeasureSlate(desk, source, input, order, clocked, session);
        if (!order.IsProgram)
        {
            var deaf = DeafSpots.Find(session, session.FindArray(order.Array), source);
            measured = measured with { Spots = DeafSpots.Doubt(measured.Spots, measured.Clicks ?? [], deaf), Deaf = deaf };
        }
        var delayed = measured.Spots.Where(s => s.DelaySamples is not null).Select(s => s.Id).ToHashSet();
        var pictures = measured.Source == "program" ? new Dictionary<string, SlateTraces>() : SlatePictures.Of(Enter(session, session.FindArray(order.Array), measured), session.FindArray(order.Array), recording);
        // Before the session is held: others may have to wait for it, and a long recording takes minutes to read.
        var entry = history.GetAwaiter().GetResult();
        var changed = SessionStore.Update(order.Session, now => SlatePictures.Enter(Enter(now, now.FindArray(order.Array), measured), now.FindArray(order.Array), delayed, pictures) with
        {
            // Music tells nothing about it, and neither does a slate in which no decay was heard: what was known stays.
            Room = measured.Room ?? now.Room,
            History = [.. now.History, entry],
        }, desk.Waiting);
        return MeasureReport.Show(desk, changed, changed.FindArray(order.Array), measured);
    }

    private static SessionDocument Enter(SessionDocument now, ArrayEntry array, Measured measured) =>
        SessionStage.Enter(SessionClock.Enter(SessionSlate.Enter(now, array, measured.Spots, measured.Clicks, measured.Source), array, measured.Clocks), measured.Stage);

    private static string CommandOf(MeasureOrder order, SessionDocument session)
    {
        var against = session.FindArray(order.Array);
        return Name + (order.IsProgram ? " --program" : "") + (session.IsMain(against) ? "" : $" --array {against.Id}");
    }

    private static Measured MeasureProgram(Desk desk, ChannelWatch source, SlateInput input)
    {
        using var progress = desk.Progress("listening to the music");
        var spots = new ProgramMeasurement(source, input).Measure(frame => progress.Report((double)frame / source.FrameCount));
        return new Measured(spots, null, "program");
    }

    private static Measured MeasureSlate(Desk desk, ChannelWatch source, SlateInput input, MeasureOrder order, IReadOnlySet<string> clocked, SessionDocument session)
    {
        var taped = TapedDistances.Read(session, order);
        using var progress = desk.Progress("listening for claps");
        void Report(long frame) => progress.Report((double)frame / source.FrameCount);
        var common = input with { Spots = [.. input.Spots.Where(s => !clocked.Contains(s.Id))] };
        var result = common.Spots.Count > 0 || clocked.Count == 0
            ? new SlateMeasurement(source, common).Measure(ClapMarks.For(order.At, common.Spots), Report)
            : new SlateResult([], [], false);
        var clocks = OwnClocks.Measure(source, input, order.At?.Select(mark => mark.Seconds).ToArray(), clocked, Report);
        var staged = session.IsMain(session.FindArray(order.Array)) && result.Clicks.Count > 0
            ? new StageMeasurement(source, common, session.FindArray(order.Array).Id, SessionStage.Further(session, session.FindArray(order.Array), source.ChannelCount))
                .Measure(result, SessionStage.Knowledge(session, common.Spots, taped))
            : null;
        return new Measured(
            [.. staged?.Spots ?? result.Spots, .. clocks.Select(c => c.Spot)], [.. SessionSlate.ToEntries(result).Concat(SessionClock.ToEntries(clocks)).OrderBy(c => c.TimeSeconds)],
            result.IsOneForAll ? "shared click" : "click")
        {
            Clocks = clocks,
            Stage = staged is null ? null : SessionStage.ToEntry(staged, session, result.IsOneForAll),
            Room = SessionSlate.ToEntry(new RoomDecayMeasurement(source, input).Measure([.. result.Clicks.Select(c => c.TimeSeconds)])),
        };
    }
}

/// <summary>What was asked for.</summary>
internal sealed record MeasureOrder(string Session, TakeFiles Files, (double Seconds, string? Spot)[]? At, bool IsProgram, string? Array, string? Trim, string[] OwnClock)
{
    /// <summary>SPOT=METRES.</summary>
    public string[] Distances { get; init; } = [];
}

/// <summary>What came of it.</summary>
internal sealed record Measured(IReadOnlyList<SpotResult> Spots, IReadOnlyList<ClickEntry>? Clicks, string Source)
{
    /// <summary>Spots on recorders of their own.</summary>
    public IReadOnlyList<ClockResult> Clocks { get; init; } = [];

    /// <summary>Spots whose channels are dead, and why.</summary>
    public IReadOnlyDictionary<string, string> Deaf { get; init; } = new Dictionary<string, string>();

    /// <summary>Claps that belong to no spot of the session; one clap for all belongs to every spot.</summary>
    public int ClapsOfNoSpot => Source == "click" ? Clicks?.Count(c => c.Spot is null) ?? 0 : 0;

    /// <summary>The room, from the claps.</summary>
    public RoomEntry? Room { get; init; }

    /// <summary>Where everybody sits; null where the slate does not tell.</summary>
    public StageEntry? Stage { get; init; }
}
