using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Link;

/// <summary>The parameters by which every plug-in holds on to a session.</summary>
internal static class LinkParameters
{
    /// <summary>Value 0 is no session, 1… are the published ones by name. More than these cannot be chosen, and stay listed for the command line.</summary>
    public const int SessionSlots = 64;

    public static readonly IReadOnlyList<string> StatusNames =
        ["No session", "In step", "File has changed", "File is missing", "File is damaged", "File is newer", "Program fault: values stay"];

    /// <summary>The status behind those of <see cref="LinkStatus"/>: following has failed for a reason of our own.</summary>
    public const int Stuck = 6;

    public static Parameter Session(uint id) => Parameter.NamedByEffect(id, "Session", SessionSlots);

    public static Parameter Follow(uint id) => Parameter.Switch(id, "Follow session", on: true);

    public static Parameter Status(uint id) =>
        Parameter.List(id, "Session status", StatusNames) with { Flags = ParameterFlags.IsReadOnly | ParameterFlags.IsList };
}
