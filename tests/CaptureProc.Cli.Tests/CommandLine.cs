using System.Diagnostics;
using System.Text.Json.Nodes;

namespace CaptureProc.Cli.Tests;

/// <summary>What a command said and how it ended.</summary>
internal sealed record CommandLine(int ExitCode, string Out, string Error)
{
    public JsonObject Json => JsonNode.Parse(Out)!.AsObject();

    public string ErrorCode => (string)Json["error"]!["code"]!;

    /// <summary>Runs a command in this process.</summary>
    public static CommandLine Run(params string[] args)
    {
        var (stdout, stderr) = (new StringWriter(), new StringWriter());
        var exitCode = CommandLineProgram.Run(args, stdout, stderr);
        var result = new CommandLine(exitCode, stdout.ToString(), stderr.ToString());
        Assert.DoesNotContain("   at ", result.Out + result.Error, StringComparison.Ordinal);
        return result;
    }

    /// <summary>Runs a command as a process of its own, in a folder.</summary>
    public static CommandLine RunIn(string folder, params string[] args)
    {
        var start = new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, "captureproc.dll"), .. args])
        {
            RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = folder,
        };
        using var process = Process.Start(start)!;
        var error = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return new CommandLine(process.ExitCode, output, error.Result);
    }

    /// <summary>Runs a command that has to be refused: exit code 2, one line that says what is wrong.</summary>
    public static void Refuses(string said, params string[] args)
    {
        var result = Run(args);
        Assert.Equal(2, result.ExitCode);
        Assert.Equal("", result.Out);
        Assert.StartsWith("error: ", Assert.Single(result.Error.TrimEnd().Split('\n')), StringComparison.Ordinal);
        Assert.Contains(said, result.Error, StringComparison.Ordinal);

        // The same with --json: one object on standard output with the same words.
        var json = Run([.. args, "--json"]);
        Assert.Equal(2, json.ExitCode);
        Assert.Contains(said, (string)json.Json["error"]!["message"]!, StringComparison.Ordinal);
        Assert.NotEqual("internal-error", json.ErrorCode);
    }
}
