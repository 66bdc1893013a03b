using System.Diagnostics;
using System.Runtime.InteropServices;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Testing;

/// <summary>A project compiled natively and laid out as a bundle, once a test run, with the guard of the audio thread in it.</summary>
/// <remarks>
/// The build goes to a folder of its own, so it neither disturbs nor uses the ordinary output, and is kept: where nothing
/// has changed the next run is quick.
/// </remarks>
public static class NativeBundle
{
    public static string Build(string projectFolder, string libraryName, string bundleName)
    {
        var root = RepositoryRoot();
        var project = Path.Combine(root, projectFolder);
        var work = Path.Combine(AppContext.BaseDirectory, "native", bundleName);
        var artifacts = Path.Combine(work, "artifacts");
        var published = Path.Combine(work, "published");
        var start = new ProcessStartInfo("dotnet")
        {
            ArgumentList =
            {
                "publish", project, "-c", "Release", "-r", RuntimeInformation.RuntimeIdentifier, "-p:AudioGuard=true",
                "--artifacts-path", artifacts, "-o", published, "-v", "quiet", "-nologo",
            },
            RedirectStandardOutput = true, RedirectStandardError = true,
        };
        using var process = Process.Start(start)!;
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
            throw new InvalidOperationException($"{projectFolder} does not publish:\n{output}\n{errors.Result}");

        var bundle = Path.Combine(work, bundleName + ".vst3");
        var target = Path.Combine(bundle, "Contents", BundleLayout.Folder, bundleName + BundleLayout.Extension);
        Directory.CreateDirectory(Path.GetDirectoryName(target)!);
        File.Copy(Path.Combine(published, libraryName + NativeExtension), target, overwrite: true);
        return bundle;
    }

    public static string RepositoryRoot()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder != null && !File.Exists(Path.Combine(folder.FullName, "CaptureProc.sln")))
            folder = folder.Parent;
        return folder?.FullName ?? throw new InvalidOperationException("The tests run outside the repository.");
    }

    private static string NativeExtension => OperatingSystem.IsWindows() ? ".dll" : OperatingSystem.IsMacOS() ? ".dylib" : ".so";
}
