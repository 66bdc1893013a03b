namespace CaptureProc.Plugins.Work;

/// <summary>A thread of our own in a host's process: it sleeps, and looks at every registered work some times a second.</summary>
/// <remarks>
/// Thread: all members [main] or a worker. None of them waits: a look runs outside every lock, so a caller never stands behind a disk
/// or a design. Therefore a look may still be under way when its registration has been disposed of, and has to bear that.
/// An audio thread wakes nobody: it leaves a flag that the next look finds. Waking a thread may lock, a flag cannot.
/// A thread lives while there is work, so a host that holds no instance has no thread of ours.
/// Two serve a process: one designs, the other reads and writes files. A file that does not answer (a stalled network folder, a
/// pipe in a session's place) holds the thread that asks for it for good; <see cref="Relieve"/> gives that thread up and puts a new
/// one in its place, which leaves the stuck work alone until its look comes back.
/// </remarks>
public sealed class SharedWorker(string name = "CaptureProc worker")
{
    // A new trim or radius is heard within this time plus the crossfade; ten looks a second cost nothing measurable.
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);

    private readonly Lock gate = new();
    private readonly AutoResetEvent nudge = new(false);
    private volatile Registration[] works = [];
    private volatile Shift? current;

    /// <summary>Designs what the audio threads need.</summary>
    public static SharedWorker OfProcess { get; } = new("CaptureProc worker");

    /// <summary>Reads and writes files.</summary>
    public static SharedWorker OfFiles { get; } = new("CaptureProc files");

    /// <summary>Adds work until the returned handle is disposed of.</summary>
    public IDisposable Register(ISharedWork work)
    {
        var registration = new Registration(this, work);
        lock (gate)
        {
            works = [.. works, registration];
            if (current is null)
                Begin();
        }
        return registration;
    }

    /// <summary>Has everything looked at soon, not only after the pause.</summary>
    public void Nudge() => nudge.Set();

    /// <summary>Gives up the thread if it has been with one work for longer than this.</summary>
    public void Relieve(TimeSpan patience)
    {
        if (current is not { At: { } stuck } tired || Environment.TickCount64 - tired.SinceTicks < patience.TotalMilliseconds)
            return;
        lock (gate)
        {
            if (current != tired)
                return;
            tired.IsOver = true;
            Begin();
        }
        stuck.Work.GivenUp();
    }

    private void Begin()
    {
        var shift = new Shift();
        current = shift;
        new Thread(() => Run(shift)) { IsBackground = true, Name = name, Priority = ThreadPriority.BelowNormal }.Start();
    }

    private void Run(Shift shift)
    {
        while (true)
        {
            lock (gate)
            {
                if (shift.IsOver)
                    return;
                if (works.Length == 0)
                {
                    current = null;
                    break;
                }
            }
            foreach (var registration in works)
            {
                if (!registration.TryTake())
                    continue;
                (shift.SinceTicks, shift.At) = (Environment.TickCount64, registration);
                registration.Work.Look();
                shift.At = null;
                registration.GiveBack();
                if (shift.IsOver)
                    return;
            }
            nudge.WaitOne(Pause);
        }
        SpareMemory.GiveBack();
    }

    private void Remove(Registration registration)
    {
        lock (gate)
            works = Array.FindAll(works, w => w != registration);
        // The thread sees that there is nothing left to do.
        Nudge();
    }

    private sealed class Registration(SharedWorker worker, ISharedWork work) : IDisposable
    {
        private int taken;

        public ISharedWork Work => work;

        /// <summary>False while another thread, one that was given up, is still with it.</summary>
        public bool TryTake() => Interlocked.CompareExchange(ref taken, 1, 0) == 0;

        public void GiveBack() => Volatile.Write(ref taken, 0);

        public void Dispose() => worker.Remove(this);
    }

    /// <summary>One thread's time on duty.</summary>
    private sealed class Shift
    {
        private long sinceTicks;

        public volatile bool IsOver;

        public volatile Registration? At;

        public long SinceTicks
        {
            get => Volatile.Read(ref sinceTicks);
            set => Volatile.Write(ref sinceTicks, value);
        }
    }
}
