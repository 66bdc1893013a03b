using System.CommandLine;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Session.Published;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc publish</c>: puts a session where the plug-ins look for it, lists what is there, takes it away again.</summary>
internal static class PublishCommand
{
    public const string Name = "publish";

    public static Command Create(Desk desk)
    {
        var session = new Argument<string?>("SESSION")
        {
            Description = "The session file; with --withdraw, its file or the name it is listed under.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        var list = new Option<bool>("--list") { Description = "List what is published." };
        var withdraw = new Option<bool>("--withdraw") { Description = "Take the session away from the plug-ins; its file stays." };
        var command = new Command(Name, "Puts the session where the plug-ins look for it. They follow the file: what is measured later arrives by itself.")
        {
            session, list, withdraw,
        };
        command.SetAction(parsed => Run(desk, parsed.GetValue(session), parsed.GetValue(list), parsed.GetValue(withdraw)));
        return command;
    }

    private static int Run(Desk desk, string? session, bool list, bool withdraw)
    {
        if (list && withdraw)
            throw new UnusableInputException("bad-arguments", "--list and --withdraw exclude each other; give one of them");
        if (list)
            return List(desk);
        if (session is null && withdraw)
            throw new UnusableInputException("bad-arguments", "no session is given; name the session file, or ask with --list what is published");
        session ??= SessionHere.Find(desk);
        var entry = withdraw ? PublishedSessions.Withdraw(session) : PublishedSessions.Publish(session);
        desk.Show(new JsonObject { [withdraw ? "withdrawn" : "published"] = Describe(entry) });
        desk.Show(withdraw
            ? $"'{entry.Name}' is no longer offered to the plug-ins; {entry.SessionPath} stays as it is."
            : $"'{entry.Name}' is offered to the plug-ins, which follow {entry.SessionPath}.");
        return Desk.Done;
    }

    private static int List(Desk desk)
    {
        var entries = PublishedSessions.List();
        var missing = entries.Where(e => !File.Exists(e.SessionPath)).ToList();
        desk.Show(new JsonObject
        {
            ["folder"] = PublishedFolder.Locate(),
            ["sessions"] = new JsonArray([.. entries.Select(Describe)]),
        });
        if (!desk.IsJson)
        {
            if (entries.Count == 0)
                desk.Show($"Nothing is published in {PublishedFolder.Locate()}.");
            else
            {
                var table = new Table().Border(TableBorder.Simple).AddColumns("Name", "Session file", "");
                foreach (var entry in entries)
                    table.AddRow(Markup.Escape(entry.Name), Markup.Escape(entry.SessionPath), missing.Contains(entry) ? "missing" : "");
                desk.Show(table);
            }
        }
        foreach (var entry in missing)
            desk.Warn($"{entry.SessionPath}: is not there any more; put it back, or 'captureproc publish --withdraw \"{entry.Name}\"'");
        return missing.Count == 0 ? Desk.Done : Desk.NeedsAttention;
    }

    private static JsonObject Describe(PublishedSession entry) => new()
    {
        ["name"] = entry.Name,
        ["session"] = entry.SessionPath,
        ["present"] = File.Exists(entry.SessionPath),
    };
}
