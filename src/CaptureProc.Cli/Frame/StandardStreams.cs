using System.Runtime.InteropServices;

namespace CaptureProc.Cli.Frame;

/// <summary>Whether the streams are there that every program is given.</summary>
/// <remarks>
/// A shell may close one (<c>&gt;&amp;-</c>). Its number then goes to the next file that is opened, and what is printed would be written
/// into a recording. What a program inherits stays open in the programs that it starts; what the runtime opens for itself does not, and
/// by that flag the two are told apart (POSIX fcntl, FD_CLOEXEC).
/// </remarks>
internal static class StandardStreams
{
    private const int Output = 1, Error = 2;
    private const int GetDescriptorFlags = 1, ClosedForPrograms = 1;

    /// <summary>The stream that was closed; null where all are there.</summary>
    public static string? FindClosed() => OperatingSystem.IsWindows() ? null
        : IsClosed(Output) ? "standard output"
        : IsClosed(Error) ? "standard error"
        : null;

    /// <summary>Says a line where it can be said.</summary>
    public static void Say(string line)
    {
        if (!IsClosed(Error))
            Console.Error.WriteLine(line);
    }

    private static bool IsClosed(int descriptor) => FCntl(descriptor, GetDescriptorFlags) is < 0 or ClosedForPrograms;

    [DllImport("libc", EntryPoint = "fcntl", ExactSpelling = true)]
    private static extern int FCntl(int descriptor, int command);
}
