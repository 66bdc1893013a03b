using CaptureProc.DeskServer.Door;
using CaptureProc.Session;

namespace CaptureProc.DeskServer.Jobs;

/// <summary>Which commands the page may give, with which options, and how their files are kept inside the folder.</summary>
/// <remarks>
/// A list of what is allowed and not of what is forbidden: a command or an option that comes new is closed to the page until it stands here.
/// Values never begin a word of their own (<c>--name=value</c>), so none can be taken for a file or for another option.
/// </remarks>
internal static class CommandRules
{
    private sealed record Rule(bool HasSession, bool TakesInputs, bool HasOutput, string[] Options, params string[] PathOptions);

    private static readonly string[] Field = ["--array", "--trim", "--format", "--correction", "--bits", "--yaw", "--pitch", "--roll", "--replace"];

    private static readonly Dictionary<string, Rule> Rules = new(StringComparer.Ordinal)
    {
        ["start"] = new(false, false, true, ["--array", "--spot", "--preset", "--order", "--radius-mm", "--pattern", "--mount", "--rate", "--temperature", "--title"], "--recording"),
        ["rig"] = new(true, false, false, ["--array", "--spot", "--rename", "--remove", "--preset", "--order", "--radius-mm", "--pattern", "--mount", "--title", "--undo"]),
        ["level"] = new(true, true, false, ["--array", "--tolerance", "--reference", "--diffuse", "--set", "--trim", "--dry-run"]),
        ["patch"] = new(true, true, false, ["--taps", "--claps", "--ambience", "--at", "--array"]),
        ["measure"] = new(true, true, false, ["--at", "--program", "--array", "--trim", "--own-clock"]),
        ["convert"] = new(true, true, true, Field),
        ["align"] = new(true, true, true, [.. Field, "--order", "--later", "--place"]),
        ["mix"] = new(true, true, true, [.. Field, "--order", "--later", "--gain", "--mix-gain"]),
        ["listen"] = new(true, true, true, ["--as", "--yaw", "--pitch", "--roll", "--angle", "--pattern", "--aim", "--input-format", "--bits", "--gain", "--replace"], "--hrtf"),
        ["deliver"] = new(true, true, true, ["--as", "--loudness", "--ceiling", "--measure", "--angle", "--pattern", "--bits", "--bitrate", "--title", "--replace"], "--picture", "--hrtf"),
        ["report"] = new(true, false, true, ["--replace", "--as"], "--recording"),
        ["plan"] = new(true, true, false, ["--from", "--to"]),
    };

    /// <summary>The words of a command, with full paths.</summary>
    /// <exception cref="UnusableInputException">The page may not ask for that.</exception>
    public static string[] Words(CommandOrder order, DeskFolder folder, string? sessionPath)
    {
        if (!Rules.TryGetValue(order.Command, out var rule))
            throw new UnusableInputException("bad-order", $"'{Short(order.Command)}' is no command of the desk");
        var words = new List<string> { order.Command };
        if (rule.HasSession)
            words.Add(sessionPath ?? throw new UnusableInputException("no-session", "no session is open; choose one, or start one on the page Rig"));
        if (!rule.TakesInputs && order.Inputs.Count > 0)
            throw new UnusableInputException("bad-order", $"'{order.Command}' takes no recordings");
        words.AddRange(order.Inputs.Select(folder.Existing));
        if (rule.HasOutput)
            words.Add(folder.ForOutput(order.Output ?? throw new UnusableInputException("bad-order", $"'{order.Command}' needs a name to write to")));
        foreach (var option in order.Options)
            words.Add(Word(order.Command, rule, option, folder));
        words.Add("--json");
        return [.. words];
    }

    private static string Word(string command, Rule rule, CommandOption option, DeskFolder folder)
    {
        var isPath = rule.PathOptions.Contains(option.Name);
        if (!isPath && !rule.Options.Contains(option.Name))
            throw new UnusableInputException("bad-order", $"'{command}' takes no option '{Short(option.Name)}' from the desk");
        return option.Value is not { } value ? option.Name : $"{option.Name}={(isPath ? folder.Existing(value) : value)}";
    }

    private static string Short(string text) => text.Length > 60 ? text[..60] + "…" : text;
}
