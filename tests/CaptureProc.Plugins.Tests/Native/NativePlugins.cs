using System.Runtime.InteropServices;
using CaptureProc.Session;
using CaptureProc.Session.Published;
using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;

[assembly: AssemblyFixture(typeof(CaptureProc.Plugins.Tests.Native.NativePlugins))]

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>The natively compiled bundle, loaded into this process, with a folder of published sessions of its own.</summary>
/// <remarks>
/// Built with the guard of the audio thread, when a test first asks for it. Tests that use it run one after another: they share the
/// library and the folder.
/// </remarks>
public sealed unsafe partial class NativePlugins : IDisposable
{
    public const string Collection = "native";
    public const double SampleRateHz = 48000;

    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("captureproc-native-");
    private readonly Lazy<(string Path, PluginBundle Bundle, nint Library)> built;

    public NativePlugins()
    {
        built = new(Build);
        Published = folder.CreateSubdirectory("published").FullName;
        // The library has an environment of its own to read: that of the process, which .NET's setter does not touch on Unix.
        if (OperatingSystem.IsWindows())
            Environment.SetEnvironmentVariable(PublishedFolder.EnvironmentVariable, Published);
        else
            SetEnvironment(PublishedFolder.EnvironmentVariable, Published, 1);
    }

    public string BundlePath => built.Value.Path;

    public string Published { get; }

    public PluginBundle Bundle => built.Value.Bundle;

    public static IReadOnlyList<string> ClassNames { get; } = [.. Plugins.Bundle.Classes.Select(c => c.Name)];

    public HostedEffect Create(string className) => Bundle.Create(Bundle.Classes.Single(c => c.Name == className));

    /// <summary>Ready for blocks, with parameters set by title and text.</summary>
    public HostedEffect Start(string className, int maxBlockFrames, params (string Title, string Value)[] settings)
    {
        var effect = Create(className);
        foreach (var (title, value) in settings)
            Set(effect, title, value);
        effect.Start(SampleRateHz, maxBlockFrames, ProcessMode.Realtime);
        return effect;
    }

    public static HostedParameter Parameter(HostedEffect effect, string title) => effect.Parameters.Single(p => p.Title == title);

    public static void Set(HostedEffect effect, string title, string value)
    {
        var parameter = Parameter(effect, title);
        Assert.True(effect.TryParse(parameter.Id, value, TimeSpan.FromSeconds(20), out var normalized), $"{title} does not take {value}");
        effect.SetNormalized(parameter.Id, normalized);
    }

    public static string Text(HostedEffect effect, string title)
    {
        var parameter = Parameter(effect, title);
        return effect.TextOf(parameter.Id, effect.GetNormalized(parameter.Id));
    }

    /// <summary>Publishes a session and returns where its file is.</summary>
    public string Publish(SessionDocument session)
    {
        var path = Path.Combine(folder.FullName, $"{session.Title}.json");
        SessionStore.Create(path, session);
        PublishedSessions.Publish(path, Published);
        return path;
    }

    public void Withdraw(string title)
    {
        PublishedSessions.Withdraw(title, Published);
        File.Delete(Path.Combine(folder.FullName, $"{title}.json"));
    }

    /// <summary>What process calls of the library have allocated so far, and how many there were.</summary>
    public (long AllocatedBytes, long Calls) Guard()
    {
        long bytes, calls;
        ((delegate* unmanaged<long*, long*, void>)NativeLibrary.GetExport(built.Value.Library, "AudioThreadGuardReport"))(&bytes, &calls);
        return (bytes, calls);
    }

    /// <summary>Live bytes on the library's managed heap: linked objects, and flat arrays of numbers.</summary>
    public (long Linked, long Flat) Heap()
    {
        long linked, flat;
        ((delegate* unmanaged<long*, long*, void>)NativeLibrary.GetExport(built.Value.Library, "LiveHeapReport"))(&linked, &flat);
        return (linked, flat);
    }

    public void Dispose()
    {
        if (built.IsValueCreated)
        {
            Bundle.Dispose();
            NativeLibrary.Free(built.Value.Library);
        }
        folder.Delete(recursive: true);
    }

    private static (string Path, PluginBundle Bundle, nint Library) Build()
    {
        var path = NativeBundle.Build("src/CaptureProc.Plugins", "CaptureProc.Plugins", "CaptureProc");
        return (path, PluginBundle.Load(path), NativeLibrary.Load(BundleLayout.LibraryOf(path)));
    }

    [LibraryImport("libc", EntryPoint = "setenv", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int SetEnvironment(string name, string value, int overwrite);
}
