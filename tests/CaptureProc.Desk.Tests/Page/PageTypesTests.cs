using System.Diagnostics;
using System.Reflection;

namespace CaptureProc.DeskServer.Tests.Page;

public sealed class PageTypesTests
{
    private static readonly string Root = typeof(PageTypesTests).Assembly.GetCustomAttributes<AssemblyMetadataAttribute>().Single(a => a.Key == "RepoRoot").Value!;

    [Fact]
    public void TheTypeScriptCompilerFindsNothingInThePage()
    {
        // The compiler of the lock file, tests/CaptureProc.Desk.Tests/types: npm ci, then tsc --checkJs --strict.
        var types = Path.Combine(Root, "tests/CaptureProc.Desk.Tests/types");
        var compiler = Path.Combine(types, "node_modules/typescript/lib/tsc.js");
        var wanted = File.GetLastWriteTimeUtc(Path.Combine(types, "package-lock.json"));
        if (!File.Exists(compiler) || File.GetLastWriteTimeUtc(Path.Combine(types, "node_modules/.package-lock.json")) < wanted)
            Assert.Equal("", Run("npm", types, "ci", "--silent", "--no-audit", "--no-fund"));
        Assert.Equal("", Run("node", types, compiler, "-p", "tsconfig.json"));
    }

    private static string Run(string program, string folder, params string[] words)
    {
        using var process = Process.Start(new ProcessStartInfo(program, words) { WorkingDirectory = folder, RedirectStandardOutput = true, RedirectStandardError = true })!;
        var error = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0 ? "" : $"{program} ended with {process.ExitCode}: {output}{error.Result}";
    }
}
