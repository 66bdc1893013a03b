using System.Runtime.InteropServices;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins;

/// <summary>What hosts look for in the library, on each platform by its own names.</summary>
/// <remarks>All may be called again after an exit; nothing here is slow. Results are one byte, 1 for yes.</remarks>
internal static unsafe class Exports
{
    private static readonly EffectModule Module = new(Bundle.CreateFactory);

    [UnmanagedCallersOnly(EntryPoint = "GetPluginFactory")]
    private static void* GetPluginFactory() => Module.GetFactory();

    [UnmanagedCallersOnly(EntryPoint = "ModuleEntry")]
    private static byte ModuleEntry(void* library) => Enter();

    [UnmanagedCallersOnly(EntryPoint = "ModuleExit")]
    private static byte ModuleExit() => Exit();

    [UnmanagedCallersOnly(EntryPoint = "bundleEntry")]
    private static byte BundleEntry(void* bundle)
    {
        MacLibrary.Pin();
        return Enter();
    }

    [UnmanagedCallersOnly(EntryPoint = "bundleExit")]
    private static byte BundleExit() => Exit();

    [UnmanagedCallersOnly(EntryPoint = "InitDll")]
    private static byte InitDll() => Enter();

    [UnmanagedCallersOnly(EntryPoint = "ExitDll")]
    private static byte ExitDll() => Exit();

    /// <summary>For tests of a guarded build: the bytes that process calls have allocated, and how many calls were watched.</summary>
    [UnmanagedCallersOnly(EntryPoint = "AudioThreadGuardReport")]
    private static void AudioThreadGuardReport(long* allocatedBytes, long* calls)
    {
        *allocatedBytes = AudioThreadGuard.AllocatedBytes;
        *calls = AudioThreadGuard.Calls;
    }

    /// <summary>For tests: the live bytes on the managed heap, linked objects and flat arrays apart.</summary>
    [UnmanagedCallersOnly(EntryPoint = "LiveHeapReport")]
    private static void LiveHeapReport(long* linkedBytes, long* flatBytes)
    {
        try
        {
            var heap = LiveHeap.Measure();
            *linkedBytes = heap.LinkedBytes;
            *flatBytes = heap.FlatBytes;
        }
        catch
        {
            *linkedBytes = *flatBytes = -1;
        }
    }

    private static byte Enter() => Module.Enter() ? (byte)1 : (byte)0;

    private static byte Exit() => Module.Exit() ? (byte)1 : (byte)0;
}
