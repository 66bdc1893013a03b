using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;

namespace CaptureProc.Testing;

/// <summary>An X server without a screen (Xvfb, Debian package xvfb) for this process, and the DISPLAY that leads to it.</summary>
/// <remarks>One a test run: libxcb reads the variable of the process, which all tests share.</remarks>
public sealed partial class VirtualScreen : IDisposable
{
    private readonly Process server;

    public VirtualScreen()
    {
        // The server chooses a free number and writes it to this pipe, when it is ready.
        var start = new ProcessStartInfo("sh")
        {
            ArgumentList = { "-c", "exec Xvfb -displayfd 1 -screen 0 1920x1200x24 -nolisten tcp -noreset 2>/dev/null" }, RedirectStandardOutput = true,
        };
        server = Process.Start(start)!;
        var number = server.StandardOutput.ReadLine() ?? throw new InvalidOperationException("Xvfb does not start; tests/install-tools installs it.");
        Display = ":" + number.Trim();
        SetEnvironment("DISPLAY", Display, 1);
        Environment.SetEnvironmentVariable("DISPLAY", Display);
    }

    public string Display { get; }

    public int ProcessId => server.Id;

    public void Dispose()
    {
        server.Kill();
        server.WaitForExit();
        server.Dispose();
    }

    /// <summary>Processor time that a process has used, in seconds.</summary>
    public static double ProcessorSeconds(int processId)
    {
        // proc(5): the name stands in brackets, then state and so on; utime and stime are the 12th and 13th after it, in hundredths.
        var text = File.ReadAllText($"/proc/{processId.ToString(CultureInfo.InvariantCulture)}/stat");
        var fields = text[(text.LastIndexOf(')') + 2)..].Split(' ');
        return (long.Parse(fields[11], CultureInfo.InvariantCulture) + long.Parse(fields[12], CultureInfo.InvariantCulture)) / 100.0;
    }

    [LibraryImport("libc", EntryPoint = "setenv", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int SetEnvironment(string name, string value, int overwrite);
}
