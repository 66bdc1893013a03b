using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>A kept line-up on its way into the session file.</summary>
/// <remarks>
/// Thread: the shared worker's; reads, locks and writes a file. It never waits for the file's lock: the worker serves all
/// instances, so a busy file is tried again at the next look, as long as a command would wait.
/// </remarks>
internal sealed class LineUpDelivery(string path, string arrayId, TrimSet set)
{
    private const string HistoryName = "line-up in the plug-in";

    private readonly long giveUpTicks = Environment.TickCount64 + (long)SessionWaiting.Usual.Patience.TotalMilliseconds;

    /// <summary>What became of it; null where it has to be tried again.</summary>
    public LineUpOutcome? Try()
    {
        try
        {
            var entry = new HistoryEntry { At = DateTimeOffset.UtcNow, Command = HistoryName };
            SessionStore.Update(path, document => document.WithTrims(document.FindArray(arrayId).Id, set, isActive: true, entry), TimeSpan.Zero);
            return LineUpOutcome.Written;
        }
        catch (UnusableInputException e)
        {
            return e.Code switch
            {
                "session-busy" when Environment.TickCount64 < giveUpTicks => null,
                "session-busy" => LineUpOutcome.Busy,
                "output-refused" => LineUpOutcome.Refused,
                "no-such-array" => LineUpOutcome.NoArray,
                _ => LineUpOutcome.Unusable,
            };
        }
    }
}
