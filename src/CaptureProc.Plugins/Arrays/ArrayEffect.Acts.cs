using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Session;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

// What a hand can have done, from a window or from a host's panel.
public sealed partial class ArrayEffect : IArrayActs
{
    public IReadOnlyList<string> Presets { get; } = [.. PresetLibrary.List().Select(p => p.Name)];

    public void KeepLineUp()
    {
        bool isNew;
        lock (lineUpGate)
        {
            ReadLineUp();
            isNew = lineUp.TryKeep();
        }
        ShowLineUp();
        if (!isNew)
            return;
        Exclusively(MakeTrims);
        // As 'level' does with a session: used at once where nothing else is.
        if (UsesNoTrims())
            Host.Edit(LineUpParameters.TrimsFrom, LineUpParameters.FromKeptLineUp);
    }

    public void WriteLineUpToSession()
    {
        var (name, array) = Locked(() => (Link.Name, ArrayChoice.Find(Link.Session, choice.Name)));
        var entry = name.Length > 0 ? Catalog.Find(name) : null;
        if (lineUp.Kept is not { } kept)
            lineUp.Tell(LineUpOutcome.NothingToWrite);
        else if (name.Length == 0)
            lineUp.Tell(LineUpOutcome.NoSession);
        else if (entry is null)
            lineUp.Tell(LineUpOutcome.Unusable);
        else if (array is null)
            lineUp.Tell(LineUpOutcome.NoArray);
        else
        {
            lineUp.Tell(LineUpOutcome.Writing);
            LineUpPost.Send(Files, new LineUpDelivery(entry.Path, array.Id, kept), Delivered);
        }
        ShowLineUp();
    }

    public bool TakePreset(string name)
    {
        if (PresetLibrary.List().FirstOrDefault(p => string.Equals(p.Name, name, StringComparison.OrdinalIgnoreCase)) is not { } preset)
            return false;
        var order = CapsuleOrders.IndexOf(preset.Capsules.Select(c => c.Label));
        var mount = Mounts.IndexOf(preset.Mount.YawDeg, preset.Mount.PitchDeg, preset.Mount.RollDeg);
        Host.Edit(Source, ByHand);
        Host.Edit(Order, Math.Max(0, order));
        Host.Edit(Radius, preset.RadiusMm);
        Host.Edit(Pattern, preset.Pattern);
        Host.Edit(Mount, Math.Max(0, mount));
        OnEdited(Mount);
        return true;
    }

    /// <summary>The same from a host's panel, where an act is a switch or a list that springs back.</summary>
    private void ActOn(int parameter)
    {
        if (parameter is not (ArrayParameters.TakePreset or LineUpParameters.Keep or LineUpParameters.Write) || Host.Plain(parameter) < 0.5)
            return;
        if (parameter == LineUpParameters.Keep)
            KeepLineUp();
        else if (parameter == LineUpParameters.Write)
            WriteLineUpToSession();
        else if (PresetChoices.At((int)Host.Plain(parameter)) is { } preset)
            TakePreset(preset.Name);
        Host.Edit(parameter, 0);
    }

    private bool UsesNoTrims()
    {
        for (var i = 0; i < LineUpParameters.Channels; i++)
            if (Host.Plain(Trim + i) != 0)
                return false;
        return (int)Host.Plain(TrimChoice) == TrimTable.SessionsChoice && !trims.HasActive && Host.Plain(CompareParameters.First) == 0;
    }

    // The worker of files: the outcome goes to the board, from where the audio thread and the host have it.
    private void Delivered(LineUpOutcome outcome)
    {
        lineUp.Tell(outcome);
        ShowLineUp();
    }
}
