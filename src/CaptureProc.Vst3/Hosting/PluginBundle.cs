using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>A loaded plug-in library: its classes, and instances of them.</summary>
/// <remarks>
/// Thread: [main]. Dispose after all instances are disposed of; it takes the library through its exit and lets it go.
/// Anything may run while a foreign library loads; all that can be promised is a clear message when it refuses.
/// </remarks>
public sealed unsafe class PluginBundle : IDisposable
{
    /// <summary>The category of classes that process audio.</summary>
    public const string AudioCategory = "Audio Module Class";

    private readonly nint library;
    private readonly ComReference<IPluginFactory> factory;
    private readonly HostContext context = new();
    private bool disposed;

    private PluginBundle(string path, nint library, ComReference<IPluginFactory> factory)
    {
        (Path, this.library, this.factory) = (path, library, factory);
        using (var third = ComReference<IPluginFactory3>.Query(factory.Pointer, IPluginFactory3.Iid))
            if (third != null)
                third.Pointer->Table->SetHostContext(third.Pointer, (FUnknown*)context.Pointer());
        Classes = ReadClasses();
    }

    public string Path { get; }

    /// <summary>The classes that process audio, in the library's order.</summary>
    public IReadOnlyList<PluginClass> Classes { get; }

    public static PluginBundle Load(string path)
    {
        var file = BundleLayout.LibraryOf(path);
        nint library;
        try
        {
            library = NativeLibrary.Load(file);
        }
        catch (Exception e) when (e is DllNotFoundException or BadImageFormatException)
        {
            throw new PluginException($"'{path}' cannot be loaded: {e.Message.ReplaceLineEndings(" ").Trim()}");
        }
        if (!Enter(library, path))
            throw new PluginException($"'{path}' loads, but its entry function refuses.");
        var factory = NativeLibrary.TryGetExport(library, "GetPluginFactory", out var get)
            ? ComReference<IPluginFactory>.Own(((delegate* unmanaged<void*>)get)())
            : throw new PluginException($"'{path}' is not a VST 3 plug-in: it has no GetPluginFactory.");
        return factory != null
            ? new PluginBundle(path, library, factory)
            : throw new PluginException($"'{path}' gives no list of its classes.");
    }

    /// <summary>A new instance, initialized, with its controller connected.</summary>
    public HostedEffect Create(PluginClass pluginClass) => new(factory, context, pluginClass);

    public void Dispose()
    {
        if (disposed)
            return;
        disposed = true;
        factory.Dispose();
        context.Release();
        foreach (var name in (ReadOnlySpan<string>)["ModuleExit", "bundleExit", "ExitDll"])
            if (NativeLibrary.TryGetExport(library, name, out var exit))
                ((delegate* unmanaged<byte>)exit)();
        NativeLibrary.Free(library);
    }

    private static bool Enter(nint library, string path)
    {
        if (OperatingSystem.IsWindows())
            return !NativeLibrary.TryGetExport(library, "InitDll", out var init) || ((delegate* unmanaged<byte>)init)() != 0;
        if (OperatingSystem.IsMacOS())
            return NativeLibrary.TryGetExport(library, "bundleEntry", out var bundle) &&
                ((delegate* unmanaged<nint, byte>)bundle)(CoreFoundationBundle.Create(System.IO.Path.GetFullPath(path))) != 0;
        return NativeLibrary.TryGetExport(library, "ModuleEntry", out var entry) && ((delegate* unmanaged<nint, byte>)entry)(library) != 0;
    }

    private List<PluginClass> ReadClasses()
    {
        var list = new List<PluginClass>();
        using var second = ComReference<IPluginFactory2>.Query(factory.Pointer, IPluginFactory2.Iid);
        var count = factory.Pointer->Table->CountClasses(factory.Pointer);
        for (var i = 0; i < count; i++)
        {
            PClassInfo2 info2;
            PClassInfo info;
            if (second != null && second.Pointer->Table->GetClassInfo2(second.Pointer, i, &info2) == Result.Ok)
                list.Add(new PluginClass(
                    info2.Cid, NativeText.ReadUtf8(info2.Name, 64), NativeText.ReadUtf8(info2.Category, 32), NativeText.ReadUtf8(info2.SubCategories, 128),
                    NativeText.ReadUtf8(info2.Vendor, 64), NativeText.ReadUtf8(info2.Version, 64)));
            else if (factory.Pointer->Table->GetClassInfo(factory.Pointer, i, &info) == Result.Ok)
                list.Add(new PluginClass(info.Cid, NativeText.ReadUtf8(info.Name, 64), NativeText.ReadUtf8(info.Category, 32), "", "", ""));
        }
        list.RemoveAll(c => c.Category != AudioCategory);
        return list;
    }
}
