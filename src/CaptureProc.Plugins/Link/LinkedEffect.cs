using CaptureProc.Session;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Link;

/// <summary>What all plug-ins that play a session have in common: choosing it, following it, keeping a copy, saying how it stands.</summary>
/// <remarks>
/// Thread: as <see cref="AudioEffect"/>; the shared worker looks in ten times a second. Whatever [main] and the worker do runs
/// under one gate, so a subclass never designs twice at once; the audio thread never touches it.
/// </remarks>
public abstract class LinkedEffect : AudioEffect, ISharedWork
{
    private readonly Lock gate = new();
    private readonly SlotList sessions = new(LinkParameters.SessionSlots, "None");
    private readonly ProcessSessions process;
    private readonly IDisposable atWork;
    private readonly int sessionParameter, followParameter, statusParameter;
    private IReadOnlyList<CatalogEntry>? seenEntries;
    private int seenVersion = -1;
    private int chosenSlot;
    private volatile int status;

    /// <param name="process">The sessions on offer and the worker that looks in, until the host lets go.</param>
    /// <param name="sessionParameter">Index of the session's list.</param>
    /// <param name="followParameter">Index of the follow switch.</param>
    /// <param name="statusParameter">Index of the status.</param>
    protected LinkedEffect(ProcessSessions process, int sessionParameter, int followParameter, int statusParameter)
    {
        (this.sessionParameter, this.followParameter, this.statusParameter) = (sessionParameter, followParameter, statusParameter);
        this.process = process;
        Catalog = process.Enter();
        Link = new SessionLink(Catalog);
        atWork = process.Worker.Register(this);
    }

    protected SessionCatalog Catalog { get; }

    protected SessionLink Link { get; }

    /// <summary>The session's values are others now, or a parameter has been edited: design what follows from them. [main] or the worker, under the gate.</summary>
    protected abstract void Redesign();

    /// <summary>The values of the session have been replaced; comes before <see cref="Redesign"/>. [main] or the worker, under the gate.</summary>
    protected virtual void OnSessionReplaced()
    {
    }

    /// <summary>What reads or writes files: the worker, after each look, outside the gate, so that [main] never waits for a disk.</summary>
    protected virtual void AfterLook()
    {
    }

    /// <summary>The rate to design for. Rates beyond these limits exist in test programs only; they play, designed for the limit.</summary>
    protected static double UsableRate(double sampleRateHz) =>
        Math.Clamp(sampleRateHz, SessionRules.MinSampleRate, SessionRules.MaxSampleRate);

    /// <summary>Runs under the gate that keeps [main] and the worker apart.</summary>
    protected void Exclusively(Action act)
    {
        lock (gate)
            act();
    }

    public void Look()
    {
        // Before the host has bound the instance there is nothing to read.
        if (Host is null)
            return;
        try
        {
            lock (gate)
            {
                TakeChoice();
                Link.Look();
                Refresh();
            }
            AfterLook();
        }
        catch (Exception)
        {
            // An exception on this thread would end the host. What plays goes on playing, and the status says that it is stuck.
            status = LinkParameters.Stuck;
        }
    }

    public override void OnEdited(int parameter)
    {
        lock (gate)
        {
            TakeChoice();
            Refresh();
        }
    }

    public override byte[] SaveExtra() => Link.Save().ToBytes();

    public override void LoadExtra(ReadOnlySpan<byte> extra, StateCondition condition)
    {
        var saved = SavedLink.FromBytes(extra);
        lock (gate)
        {
            RefreshNames();
            sessions.Pin(saved.Name, (int)Host.Plain(sessionParameter));
            chosenSlot = (int)Host.Plain(sessionParameter);
            Link.Follow = Host.Plain(followParameter) >= 0.5;
            Link.Restore(saved);
            Refresh();
        }
    }

    public override string? TextOf(int parameter, double plain) =>
        parameter == sessionParameter ? Named(() => sessions.NameAt((int)plain)) : null;

    public override void OnClosed()
    {
        atWork.Dispose();
        process.Leave();
    }

    /// <summary>Shows the status; once a block. [audio]</summary>
    protected void ShowStatus(MeterBank meters) => meters.Set(statusParameter, status);

    private T Named<T>(Func<T> read)
    {
        lock (gate)
        {
            RefreshNames();
            return read();
        }
    }

    private void TakeChoice()
    {
        RefreshNames();
        Link.Follow = Host.Plain(followParameter) >= 0.5;
        var slot = (int)Host.Plain(sessionParameter);
        if (slot == chosenSlot)
            return;
        chosenSlot = slot;
        Link.Choose(slot == 0 ? "" : sessions.NameAt(slot));
    }

    private void Refresh()
    {
        RefreshNames();
        if (Link.Version != seenVersion)
        {
            seenVersion = Link.Version;
            OnSessionReplaced();
        }
        Redesign();
        status = (int)Link.Status;
    }

    private void RefreshNames()
    {
        var entries = Catalog.Entries;
        if (ReferenceEquals(entries, seenEntries))
            return;
        seenEntries = entries;
        sessions.Update(entries.Select(e => e.Name), Link.Name);
    }
}
