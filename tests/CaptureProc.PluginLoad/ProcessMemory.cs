using System.Globalization;

namespace CaptureProc.PluginLoad;

/// <summary>Memory of this process, from /proc.</summary>
internal readonly record struct ProcessMemory(double ResidentMegabytes, double DirtyMegabytes)
{
    public static ProcessMemory Read()
    {
        GC.Collect();
        var lines = File.ReadAllLines("/proc/self/smaps_rollup");
        return new ProcessMemory(Kilobytes(lines, "Rss:") / 1024, Kilobytes(lines, "Private_Dirty:") / 1024);
    }

    public static ProcessMemory operator -(ProcessMemory a, ProcessMemory b) =>
        new(a.ResidentMegabytes - b.ResidentMegabytes, a.DirtyMegabytes - b.DirtyMegabytes);

    private static double Kilobytes(string[] lines, string name) =>
        double.Parse(lines.First(l => l.StartsWith(name, StringComparison.Ordinal)).Split(' ', StringSplitOptions.RemoveEmptyEntries)[1], CultureInfo.InvariantCulture);
}
