using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary>What was asked of <c>level</c>.</summary>
internal sealed record LevelOrder(string Session, TakeFiles Files)
{
    public string? ArrayId { get; init; }

    public double ToleranceDb { get; init; }

    public double? Reference { get; init; }

    public bool IsDiffuse { get; init; }

    public string Set { get; init; } = "";

    public bool IsDryRun { get; init; }

    /// <summary>Where the reference channel stands among those of the array.</summary>
    public int ReferenceIndex(ArrayEntry array)
    {
        if (Reference is not { } number)
            return 0;
        for (var i = 0; i < array.Channels.Count; i++)
            if (array.Channels[i] == number)
                return i;
        throw new UnusableInputException("bad-arguments",
            FormattableString.Invariant($"--reference {number}: is no channel of array '{array.Id}'; it has {string.Join(", ", array.Channels)}"));
    }
}
