using System.CommandLine;

namespace CaptureProc.Cli.Frame;

/// <summary>Options that mean the same wherever they stand.</summary>
internal static class GlobalOptions
{
    public static readonly Option<bool> Json = new("--json")
    {
        Description = "Print the result as one JSON object on standard output.",
        Recursive = true,
    };

    public static Option<bool> IgnoreStamps() => new("--ignore-stamps")
    {
        Description = "Leave the time stamps of the recordings aside: files start together. Usually they lie where their stamps say.",
    };

    public static Option<bool> Replace() => new("--replace") { Description = "Replace output files that exist already." };
}
