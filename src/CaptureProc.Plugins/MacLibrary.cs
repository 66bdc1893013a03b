using System.Runtime.InteropServices;

namespace CaptureProc.Plugins;

/// <summary>Keeps the library loaded on macOS, where the linker has no mark for it.</summary>
/// <remarks>
/// Linux has -z nodelete, and on Windows the runtime pins its own module. Here the library opens itself once more with
/// RTLD_NODELETE and does not close that. Not run yet: written from the documentation of dlopen and dladdr.
/// </remarks>
internal static unsafe class MacLibrary
{
    // dlfcn.h of macOS.
    private const int Now = 0x2, NoDelete = 0x80;

    public static void Pin()
    {
        if (!OperatingSystem.IsMacOS())
            return;
        Information information;
        if (dladdr((delegate* unmanaged<void>)&Inside, &information) != 0)
            dlopen(information.Path, Now | NoDelete);
    }

    [UnmanagedCallersOnly]
    private static void Inside()
    {
    }

    [DllImport("libSystem")]
    private static extern int dladdr(void* address, Information* information);

    [DllImport("libSystem")]
    private static extern void* dlopen(byte* path, int mode);

    private struct Information
    {
        public byte* Path;
        public void* Base;
        public byte* Symbol;
        public void* SymbolAddress;
    }
}
