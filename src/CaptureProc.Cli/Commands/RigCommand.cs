using System.CommandLine;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Session.Rig;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc rig</c>: changes what stands where, keeps what stays true, and takes changes back.</summary>
internal static class RigCommand
{
    public const string Name = "rig";

    public static Command Create(Desk desk)
    {
        var path = new Argument<string>("SESSION") { Description = "The session file." };
        var arrays = Values.Texts("--array", "Adds an array, or puts one that is there on other channels.", "ID=CHANNELS");
        var spots = Values.Texts("--spot", "Adds a spot, or puts one that is there on other channels.", "ID=CHANNELS");
        var renames = Values.Texts("--rename", "Calls an array or a spot by another name.", "OLD=NEW");
        var removals = Values.Texts("--remove", "Removes an array or a spot.", "ID");
        var presets = Values.Texts("--preset", "Geometry and mount from the presets, for the main array or for the one named; see 'captureproc presets'.", "[ID=]NAME");
        var orders = Values.Texts("--order", "Capsule on each channel, as FLU,FRD,BLD,BRU.", "[ID=]ORDER");
        var radii = Values.Texts("--radius-mm", "Distance of the capsules from the centre.", "[ID=]MM");
        var patterns = Values.Texts("--pattern", "Pattern of the capsules: 0 figure-eight, 0.5 cardioid, 1 omni.", "[ID=]PATTERN");
        var mounts = Values.Texts("--mount", "How the array is turned, in degrees: 0,0,180 hangs head down.", "[ID=]YAW,PITCH,ROLL");
        var title = Values.Text("--title", "What the session is called.", "TITLE");
        var undo = new Option<bool>("--undo") { Description = "Takes the last change of the session back, whichever command made it; the last 20 can be taken back one by one." };

        var command = new Command(Name, "Changes the rig of a session: keeps what stays true, names what has to be measured anew. Without options it shows the rig.")
        {
            path, arrays, spots, renames, removals, presets, orders, radii, patterns, mounts, title, undo,
        };
        command.SetAction(parsed =>
        {
            var session = parsed.GetRequiredValue(path);
            var order = new RigOrder
            {
                Arrays = parsed.GetValue(arrays)!,
                Spots = parsed.GetValue(spots)!,
                Renames = parsed.GetValue(renames)!,
                Removals = parsed.GetValue(removals)!,
                Presets = parsed.GetValue(presets)!,
                Orders = parsed.GetValue(orders)!,
                RadiiMm = parsed.GetValue(radii)!,
                Patterns = parsed.GetValue(patterns)!,
                Mounts = parsed.GetValue(mounts)!,
                Title = parsed.GetValue(title),
            };
            if (parsed.GetValue(undo))
                return order.IsEmpty
                    ? Undo(desk, session)
                    : throw new UnusableInputException("bad-arguments", "--undo stands alone: it takes back what the last command did; change the rig in a command of its own");
            return order.IsEmpty ? Show(desk, session) : Run(desk, session, order);
        });
        return command;
    }

    private static int Run(Desk desk, string path, RigOrder order)
    {
        RigChange? change = null;
        var entry = new HistoryEntry { At = DateTimeOffset.UtcNow, Command = Name };
        var changed = SessionStore.Update(path, now =>
        {
            change = order.ApplyTo(now, desk);
            return change.Session with { History = [.. now.History, entry] };
        }, desk.Waiting);
        foreach (var line in change!.Done)
            desk.Show($"{char.ToUpperInvariant(line[0])}{line[1..]}.");
        foreach (var line in change.Dropped)
            desk.Show($"Dropped: {line}.");
        if (change.Done.Count == 0)
            desk.Show("Nothing is changed: the rig is as asked for already.");
        else if (change.Dropped.Count > 0)
            desk.Show($"Run 'level', 'patch' or 'measure' again for what was dropped; 'captureproc rig {path} --undo' takes this back.");
        desk.Show(new JsonObject
        {
            ["file"] = path,
            ["changed"] = Words(change.Done),
            ["dropped"] = Words(change.Dropped),
            ["session"] = JsonNode.Parse(SessionText.Format(changed)),
        });
        return Desk.Done;
    }

    private static int Undo(Desk desk, string path)
    {
        var (undone, now) = SessionStore.Undo(path, desk.Waiting);
        var what = undone.History.Count > now.History.Count ? undone.History[^1] : null;
        var words = what is null ? "the last change" : FormattableString.Invariant($"'{what.Command}' of {what.At.UtcDateTime:yyyy-MM-dd HH:mm:ss} UTC");
        desk.Show($"{path}: {words} is taken back; the session is as it was before it.");
        desk.Show(new JsonObject { ["file"] = path, ["undone"] = what?.Command, ["session"] = JsonNode.Parse(SessionText.Format(now)) });
        return Desk.Done;
    }

    private static int Show(Desk desk, string path)
    {
        var session = SessionStore.Read(path);
        desk.Show(RigTable.Of(session));
        desk.Show(new JsonObject { ["file"] = path, ["session"] = JsonNode.Parse(SessionText.Format(session)) });
        return Desk.Done;
    }

    private static JsonArray Words(IEnumerable<string> words) => new([.. words.Select(w => (JsonNode)w)]);
}
