using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Hosting;

/// <summary>Where the library of a bundle stands: one folder for each platform and processor.</summary>
/// <remarks>Thread: [any]. Source: VST 3 documentation, "VST 3 plug-in format structure", SDK 3.8.</remarks>
public static class BundleLayout
{
    /// <summary>The library inside a bundle for the platform that runs; a plain file is its own library.</summary>
    public static string LibraryOf(string bundlePath)
    {
        var path = Path.TrimEndingDirectorySeparator(Path.GetFullPath(bundlePath));
        if (File.Exists(path))
            return path;
        if (!Directory.Exists(path))
            throw new PluginException($"There is no plug-in at '{bundlePath}'.");
        var name = Path.GetFileNameWithoutExtension(path);
        var library = Path.Combine(path, "Contents", Folder, name + Extension);
        return File.Exists(library)
            ? library
            : throw new PluginException($"'{bundlePath}' holds nothing for this machine: there is no '{Path.GetRelativePath(path, library)}' in it.");
    }

    /// <summary>The folder in Contents for the platform that runs.</summary>
    public static string Folder
    {
        get
        {
            if (OperatingSystem.IsMacOS())
                return "MacOS";
            var arm = RuntimeInformation.ProcessArchitecture == Architecture.Arm64;
            return OperatingSystem.IsWindows() ? arm ? "arm64-win" : "x86_64-win" : arm ? "aarch64-linux" : "x86_64-linux";
        }
    }

    /// <summary>How the library's name ends there.</summary>
    public static string Extension => OperatingSystem.IsMacOS() ? "" : OperatingSystem.IsWindows() ? ".vst3" : ".so";
}
