using System.Runtime.InteropServices;

namespace CaptureProc.PluginLoad;

/// <summary>The calling thread as an audio thread: first in line where the system allows it, woken to the microsecond.</summary>
/// <remarks>Source: sched_setscheduler(2), clock_gettime(2), nanosleep(2) of Linux.</remarks>
internal static partial class RealTime
{
    private const int Ordinary = 0, FirstInFirstOut = 1, Priority = 60;
    private const int ThreadClock = 3;

    /// <summary>False where the system does not allow it; then other programs are in the figures.</summary>
    public static bool Enter() => SetScheduler(0, FirstInFirstOut, Priority) == 0;

    public static void Leave() => SetScheduler(0, Ordinary, 0);

    public static void Sleep(double seconds)
    {
        if (seconds > 0)
            Sleep(new Time { Seconds = (long)seconds, Nanoseconds = (long)(1e9 * (seconds - (long)seconds)) }, 0);
    }

    /// <summary>Processor time that this thread has used.</summary>
    public static double ThreadSeconds()
    {
        GetTime(ThreadClock, out var time);
        return time.Seconds + 1e-9 * time.Nanoseconds;
    }

    private static int SetScheduler(int thread, int policy, int priority) => SetScheduler(thread, policy, ref priority);

    [LibraryImport("libc", EntryPoint = "sched_setscheduler")]
    private static partial int SetScheduler(int thread, int policy, ref int priority);

    [LibraryImport("libc", EntryPoint = "clock_gettime")]
    private static partial int GetTime(int clock, out Time time);

    [LibraryImport("libc", EntryPoint = "nanosleep")]
    private static partial int Sleep(in Time time, nint remaining);

    private struct Time
    {
        public long Seconds;
        public long Nanoseconds;
    }
}
