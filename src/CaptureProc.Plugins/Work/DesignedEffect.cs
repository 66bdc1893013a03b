using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Work;

/// <summary>What all plug-ins have in common that design something for their audio thread while the host goes on.</summary>
/// <remarks>
/// Thread: as <see cref="AudioEffect"/>; the shared worker looks in ten times a second. What [main] and the worker share is read and
/// written under one gate, and the gate is held for moments only: never while a file is read or something is designed. The audio
/// thread never touches it.
/// A design is planned under the gate, made outside it, and used under it again, unless something else is wanted by then. The worker
/// makes it, and the host's thread goes on at once. Only where the very next block has to be right, because nothing has sounded
/// yet (the host sets up, or loads a state), the host's own call makes it, if no other instance has it already.
/// </remarks>
public abstract class DesignedEffect : AudioEffect, ISharedWork
{
    private readonly Lock gate = new();
    private readonly SharedWorker worker;
    private readonly IDisposable atWork;
    private volatile bool isSettled;

    protected DesignedEffect(SharedWorker worker)
    {
        this.worker = worker;
        atWork = worker.Register(this);
    }

    /// <summary>Whether sound has passed since the last Prepare or Reset; false where a change needs no crossfade yet.</summary>
    protected bool IsSettled
    {
        get => isSettled;
        set => isSettled = value;
    }

    public void Look()
    {
        // Before the host has bound the instance there is nothing to read.
        if (Host is null)
            return;
        try
        {
            lock (gate)
                OnLook();
            WorkOut();
            AfterLook();
        }
        catch (Exception)
        {
            // An exception on this thread would end the host. What plays goes on playing, and the status says that it is stuck.
            OnFault();
        }
    }

    public override void OnEdited(int parameter)
    {
        lock (gate)
            OnLook();
        worker.Nudge();
    }

    public override void OnClosed() => atWork.Dispose();

    /// <summary>Follows what has changed: choices, names, values; nothing slow. [main] or the worker, under the gate.</summary>
    protected abstract void OnLook();

    /// <summary>What else the worker does now and then. Not under the gate.</summary>
    protected virtual void AfterLook()
    {
    }

    /// <summary>The next thing to design, or null. [main] or the worker, under the gate.</summary>
    protected abstract Design? NextDesign();

    /// <summary>A look has failed for a reason of our own. The worker's.</summary>
    protected abstract void OnFault();

    /// <summary>Makes all designs that are due. Not under the gate.</summary>
    protected void WorkOut()
    {
        while (Locked(NextDesign) is { } design)
        {
            design.Make();
            lock (gate)
                design.Use();
        }
    }

    /// <summary>The same for the host's call when nothing has sounded yet; otherwise the worker does it.</summary>
    protected void WorkOutBeforeSound()
    {
        if (IsSettled)
            worker.Nudge();
        else
            WorkOut();
    }

    /// <summary>Runs under the gate that keeps [main] and the worker apart: for moments.</summary>
    protected void Exclusively(Action act)
    {
        lock (gate)
            act();
    }

    protected T Locked<T>(Func<T> read)
    {
        lock (gate)
            return read();
    }

    /// <summary>One design on its way.</summary>
    protected abstract class Design
    {
        /// <summary>Takes its time. Not under the gate.</summary>
        public abstract void Make();

        /// <summary>Hands it over, unless it is overtaken. Under the gate.</summary>
        public abstract void Use();
    }
}
