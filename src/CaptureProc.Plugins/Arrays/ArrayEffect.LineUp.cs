using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Link;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

// The line-up: what the user's touches do, and what goes into the project and into the session file.
public sealed partial class ArrayEffect
{
    private readonly ArrayLineUp lineUp = new();
    private volatile LineUpDelivery? delivery;

    public override byte[] SaveExtra()
    {
        byte[] kept = [];
        Exclusively(() => kept = SavedLineUp.ToBytes(lineUp.Kept));
        return [.. base.SaveExtra(), .. kept];
    }

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var rest = extra;
        SavedLink.FromBytes(ref rest);
        var kept = SavedLineUp.FromBytes(rest);
        Exclusively(() => lineUp.Restore(kept));
        base.LoadExtra(extra, condition);
    }

    protected override void AfterLook()
    {
        if (delivery is not { } under || under.Try() is not { } outcome)
            return;
        lineUp.Tell(outcome);
        Interlocked.CompareExchange(ref delivery, null, under);
    }

    private void FollowLineUp()
    {
        lineUp.Follow(Host.Plain(LineUpParameters.On) >= 0.5, sampleRateHz);
        ReadLineUp();
    }

    private void ActOnLineUp(int parameter)
    {
        if (parameter == LineUpParameters.Keep && Host.Plain(parameter) >= 0.5)
            KeepLineUp();
        if (parameter == LineUpParameters.Write && Host.Plain(parameter) >= 0.5)
            WriteLineUp();
    }

    private void ReadLineUp() => lineUp.Read((int)Host.Plain(LineUpParameters.Reference), Host.Plain(LineUpParameters.Tolerance));

    private void KeepLineUp()
    {
        var isNew = false;
        Exclusively(() =>
        {
            ReadLineUp();
            isNew = lineUp.TryKeep();
            if (isNew)
                MakeTrims();
        });
        // As 'level' does with a session: used at once where nothing else is.
        if (isNew && UsesNoTrims())
            Host.Edit(LineUpParameters.TrimsFrom, LineUpParameters.FromKeptLineUp);
        Host.Edit(LineUpParameters.Keep, 0);
    }

    private bool UsesNoTrims()
    {
        for (var i = 0; i < LineUpParameters.Channels; i++)
            if (Host.Plain(Trim + i) != 0)
                return false;
        return (int)Host.Plain(TrimChoice) == TrimTable.SessionsChoice && !trims.HasActive;
    }

    private void WriteLineUp()
    {
        Exclusively(() =>
        {
            var entry = Link.Name.Length > 0 ? Catalog.Find(Link.Name) : null;
            if (lineUp.Kept is not { } kept)
                lineUp.Tell(LineUpOutcome.NothingToWrite);
            else if (Link.Name.Length == 0)
                lineUp.Tell(LineUpOutcome.NoSession);
            else if (entry is null)
                lineUp.Tell(LineUpOutcome.Unusable);
            else if (Link.Session is not { Arrays.Count: > 0 } session)
                lineUp.Tell(LineUpOutcome.NoArray);
            else
            {
                lineUp.Tell(LineUpOutcome.Writing);
                delivery = new LineUpDelivery(entry.Path, session.MainArray().Id, kept);
            }
        });
        Host.Edit(LineUpParameters.Write, 0);
    }
}
