using CaptureProc.Plugins.Work;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Link;

/// <summary>What all plug-ins that play a session have in common: choosing it, following it, keeping a copy, saying how it stands.</summary>
/// <remarks>Thread: as <see cref="DesignedEffect"/>.</remarks>
public abstract class LinkedEffect : DesignedEffect
{
    private readonly SlotList sessions = new(LinkParameters.SessionSlots, "None", "No session");
    private readonly ProcessFiles<SessionCatalog, CatalogEntry> process;
    private readonly int sessionParameter, followParameter, statusParameter;
    private IReadOnlyList<CatalogEntry>? seenEntries;
    private int seenVersion = -1;
    private int chosenSlot;
    private volatile int status;

    /// <param name="process">The sessions on offer and the workers, until the host lets go.</param>
    /// <param name="sessionParameter">Index of the session's list.</param>
    /// <param name="followParameter">Index of the follow switch.</param>
    /// <param name="statusParameter">Index of the status.</param>
    protected LinkedEffect(ProcessFiles<SessionCatalog, CatalogEntry> process, int sessionParameter, int followParameter, int statusParameter)
        : base(process.Worker)
    {
        (this.sessionParameter, this.followParameter, this.statusParameter) = (sessionParameter, followParameter, statusParameter);
        this.process = process;
        Catalog = process.Enter();
        Link = new SessionLink(Catalog);
    }

    protected SessionCatalog Catalog { get; }

    protected SessionLink Link { get; }

    /// <summary>Reads and writes files for all instances.</summary>
    protected SharedWorker Files => process.Files;

    /// <summary>The values of the session have been replaced. [main] or the worker, under the gate.</summary>
    protected virtual void OnSessionReplaced()
    {
    }

    /// <summary>After every look at the session: takes over what follows from choices and values; nothing slow. [main] or the worker, under the gate.</summary>
    protected abstract void OnFollowed();

    /// <summary>Whether there is a session at a place of the list.</summary>
    protected bool IsSessionAt(int slot) => slot == 0 || sessions.NameHeldAt(slot).Length > 0;

    /// <summary>The rate to design for. Rates beyond these limits exist in test programs only; they play, designed for the limit.</summary>
    protected static double UsableRate(double sampleRateHz) =>
        Math.Clamp(sampleRateHz, SessionRules.MinSampleRate, SessionRules.MaxSampleRate);

    public override byte[] SaveExtra() => Link.Save().ToBytes();

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var saved = SavedLink.FromBytes(extra);
        Exclusively(() =>
        {
            RefreshNames();
            sessions.Pin(saved.Name, (int)Host.Plain(sessionParameter));
            chosenSlot = (int)Host.Plain(sessionParameter);
            Link.Follow = Host.Plain(followParameter) >= 0.5;
            Link.Restore(saved);
            Refresh();
        });
        WorkOutBeforeSound();
    }

    public override string? TextOf(int parameter, double plain) => parameter == sessionParameter
        ? Locked(() =>
        {
            RefreshNames();
            return sessions.NameAt((int)plain);
        })
        : null;

    public override void OnClosed()
    {
        base.OnClosed();
        process.Leave();
    }

    protected sealed override void OnLook()
    {
        RefreshNames();
        Link.Follow = Host.Plain(followParameter) >= 0.5;
        var slot = (int)Host.Plain(sessionParameter);
        if (slot != chosenSlot)
        {
            chosenSlot = slot;
            Link.Choose(sessions.NameHeldAt(slot));
        }
        Link.Look();
        Refresh();
    }

    protected sealed override void OnFault() => status = LinkParameters.Stuck;

    /// <summary>Shows the status; once a block. [audio]</summary>
    protected void ShowStatus(MeterBank meters) => meters.Set(statusParameter, status);

    private void Refresh()
    {
        if (Link.Version != seenVersion)
        {
            seenVersion = Link.Version;
            OnSessionReplaced();
            Host.NamesChanged();
        }
        OnFollowed();
        status = (int)Link.Status;
        Host.Show(statusParameter, status);
    }

    private void RefreshNames()
    {
        var entries = Catalog.Entries;
        if (ReferenceEquals(entries, seenEntries))
            return;
        seenEntries = entries;
        if (sessions.Update(entries.Select(e => e.Name), Link.Name))
            Host.NamesChanged();
    }
}
