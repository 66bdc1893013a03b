using System.ComponentModel;
using System.Diagnostics;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Delivery;

/// <summary>A program of the machine's own that makes what we do not: compressed audio, and pictures beside it.</summary>
/// <remarks>Errors: <see cref="UnusableInputException"/> where it is missing or fails, with its own last line.</remarks>
public sealed class ExternalProgram
{
    private readonly string path;

    private ExternalProgram(string name, string path) => (Name, this.path) = (name, path);

    public string Name { get; }

    /// <summary>Looks through PATH; null where the program is not installed.</summary>
    public static ExternalProgram? Find(string name)
    {
        var file = OperatingSystem.IsWindows() ? $"{name}.exe" : name;
        foreach (var folder in (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries))
        {
            var candidate = Path.Combine(folder, file);
            if (File.Exists(candidate))
                return new ExternalProgram(name, candidate);
        }
        return null;
    }

    /// <summary>A program that is known to be there.</summary>
    internal static ExternalProgram At(string path) => new(Path.GetFileNameWithoutExtension(path), path);

    /// <summary>Runs to the end.</summary>
    /// <param name="arguments">As they are; nothing is quoted or expanded.</param>
    /// <param name="purpose">For the message: "Opus encoding".</param>
    public void Run(IEnumerable<string> arguments, string purpose)
    {
        var start = new ProcessStartInfo(path, arguments) { RedirectStandardError = true, RedirectStandardOutput = true, RedirectStandardInput = true };
        try
        {
            using var process = Process.Start(start)!;
            process.StandardInput.Close();
            var output = process.StandardOutput.ReadToEndAsync();
            var errors = process.StandardError.ReadToEnd();
            process.WaitForExit();
            output.Wait();
            if (process.ExitCode != 0)
                throw new UnusableInputException("program-failed", $"{purpose}: {Name} refused ({LastLine(errors)})");
        }
        catch (Win32Exception e)
        {
            throw new UnusableInputException("program-failed", $"{purpose}: {Name} cannot be started ({e.Message})", e);
        }
    }

    private static string LastLine(string text)
    {
        var lines = text.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        return lines.Length > 0 ? lines[^1].TrimEnd('.') : "without a word";
    }
}
