using System.Runtime.InteropServices;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Vst3.TestPlugin;

/// <summary>What a host looks for in the library.</summary>
internal static unsafe class Exports
{
    private static readonly EffectModule Module = new(() => new EffectFactory(new FactoryDescription("CaptureProc", "", ""), GainEffect.Class));

    [UnmanagedCallersOnly(EntryPoint = "GetPluginFactory")]
    private static void* GetPluginFactory() => Module.GetFactory();

    [UnmanagedCallersOnly(EntryPoint = "ModuleEntry")]
    private static byte ModuleEntry(void* library) => Module.Enter() ? (byte)1 : (byte)0;

    [UnmanagedCallersOnly(EntryPoint = "ModuleExit")]
    private static byte ModuleExit() => Module.Exit() ? (byte)1 : (byte)0;

    /// <summary>For the tests: the bytes that process calls have allocated, and how many calls were watched.</summary>
    [UnmanagedCallersOnly(EntryPoint = "AudioThreadGuardReport")]
    private static void AudioThreadGuardReport(long* allocatedBytes, long* calls) =>
        (*allocatedBytes, *calls) = (AudioThreadGuard.AllocatedBytes, AudioThreadGuard.Calls);
}
