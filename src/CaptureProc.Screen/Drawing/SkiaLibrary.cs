using System.Reflection;
using System.Runtime.InteropServices;
using SkiaSharp;

namespace CaptureProc.Screen.Drawing;

/// <summary>Finds the native drawing library where a plug-in is only a guest.</summary>
/// <remarks>
/// Thread: [any], once. By default it is looked for beside the program, and in a host that is the host's folder. Here the folder
/// is that of the very library whose code this is; in an ordinary program the default goes on to serve.
/// </remarks>
internal static unsafe partial class SkiaLibrary
{
    private const string Name = "libSkiaSharp";

    // GetModuleHandleEx: the module that an address lies in, and no count for it.
    private const uint FromAddress = 4, Uncounted = 2;

    static SkiaLibrary() => NativeLibrary.SetDllImportResolver(typeof(SKCanvas).Assembly, Resolve);

    /// <summary>Call before the first use of the library.</summary>
    public static void Prepare()
    {
    }

    private static nint Resolve(string name, Assembly assembly, DllImportSearchPath? path)
    {
        if (name != Name || Folder() is not { } folder)
            return 0;
        var file = Path.Combine(folder, Name + (OperatingSystem.IsWindows() ? ".dll" : OperatingSystem.IsMacOS() ? ".dylib" : ".so"));
        return NativeLibrary.TryLoad(file, out var library) ? library : 0;
    }

    private static string? Folder()
    {
        if (OperatingSystem.IsWindows())
        {
            const int room = 4096;
            var text = stackalloc char[room];
            nint module;
            return GetModuleHandleEx(FromAddress | Uncounted, (void*)(delegate* unmanaged<void>)&Here, &module) != 0 && GetModuleFileName(module, text, room) is > 0 and < room
                ? Path.GetDirectoryName(new string(text))
                : null;
        }
        Place place;
        return LocateAddress((void*)(delegate* unmanaged<void>)&Here, &place) != 0 && place.Path != null
            ? Path.GetDirectoryName(Marshal.PtrToStringUTF8((nint)place.Path))
            : null;
    }

    [UnmanagedCallersOnly]
    private static void Here()
    {
    }

    [LibraryImport("libc", EntryPoint = "dladdr")]
    private static partial int LocateAddress(void* address, Place* place);

    [LibraryImport("kernel32", EntryPoint = "GetModuleHandleExW")]
    private static partial int GetModuleHandleEx(uint flags, void* address, nint* module);

    [LibraryImport("kernel32", EntryPoint = "GetModuleFileNameW")]
    private static partial uint GetModuleFileName(nint module, char* text, uint length);

    /// <summary>Dl_info of dlfcn.h.</summary>
    private struct Place
    {
        public byte* Path;
        public void* Base;
        public byte* Symbol;
        public void* SymbolAddress;
    }
}
