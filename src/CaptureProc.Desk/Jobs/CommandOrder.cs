namespace CaptureProc.DeskServer.Jobs;

/// <summary>One command as the page asks for it: what could be typed in a terminal, in parts.</summary>
internal sealed record CommandOrder
{
    public string Command { get; init; } = "";

    /// <summary>Recordings or other files to be read, by their names in the folder.</summary>
    public IReadOnlyList<string> Inputs { get; init; } = [];

    /// <summary>What is written, by its name in the folder; null for commands that write into the session alone.</summary>
    public string? Output { get; init; }

    public IReadOnlyList<CommandOption> Options { get; init; } = [];
}

/// <summary>An option, with its value where it takes one.</summary>
internal sealed record CommandOption
{
    public string Name { get; init; } = "";

    public string? Value { get; init; }
}
