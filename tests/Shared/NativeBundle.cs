using System.Diagnostics;
using System.Runtime.InteropServices;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Testing;

/// <summary>A project compiled natively and laid out as a bundle, once a test run, with the guard of the audio thread in it.</summary>
/// <remarks>
/// The build goes to a folder of its own, so it neither disturbs nor uses the ordinary output. It is kept and shared by all
/// test projects: where nothing has changed the next run is quick. A lock keeps two runs from building at once.
/// </remarks>
public static class NativeBundle
{
    public static string Build(string projectFolder, string libraryName, string bundleName)
    {
        var root = RepositoryRoot();
        var project = Path.Combine(root, projectFolder);
        var work = Path.Combine(root, "artifacts", "native", bundleName);
        Directory.CreateDirectory(work);
        using var turn = WaitForTurn(Path.Combine(work, "lock"));
        var artifacts = Path.Combine(work, "artifacts");
        var published = Path.Combine(work, "published");
        Directory.CreateDirectory(published);
        // Gone first, so that what is tested below can only be what this publish has made.
        var built = Path.Combine(published, libraryName + NativeExtension);
        File.Delete(built);
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
        // A copy over a library that another process has mapped would pull its code away: only when it is new, and by a rename.
        if (!File.Exists(target) || !File.ReadAllBytes(target).AsSpan().SequenceEqual(File.ReadAllBytes(built)))
        {
            File.Copy(built, target + ".new", overwrite: true);
            File.Move(target + ".new", target, overwrite: true);
        }
        // What the windows are drawn with lies beside it.
        var drawing = Path.Combine(Path.GetDirectoryName(target)!, "libSkiaSharp" + NativeExtension);
        var restored = Path.Combine(published, "libSkiaSharp" + NativeExtension);
        if (File.Exists(restored) && !File.Exists(drawing))
            File.Copy(restored, drawing);
        return bundle;
    }

    private static FileStream WaitForTurn(string path)
    {
        while (true)
        {
            try
            {
                return new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
            }
            catch (IOException)
            {
                Thread.Sleep(200);
            }
        }
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
