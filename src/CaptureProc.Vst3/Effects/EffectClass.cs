using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

/// <summary>A class that a library offers: its identity, its fixed shape and how to make one.</summary>
/// <param name="Id">Never changes once a project somewhere has been saved with it.</param>
/// <param name="Name">At most 63 bytes of UTF-8.</param>
/// <param name="SubCategories">Words that hosts sort by, joined with '|', beginning with "Fx".</param>
/// <param name="Version">The version of the class as shown to users.</param>
/// <param name="Buses">The widths in and out.</param>
/// <param name="Parameters">The same for every instance.</param>
/// <param name="StateMagic">Four ASCII letters that a saved state begins with.</param>
/// <param name="Create">Makes an instance; called on the host's main thread.</param>
public sealed record EffectClass(
    Tuid Id, string Name, string SubCategories, string Version, BusLayout Buses, ParameterTable Parameters, string StateMagic, Func<AudioEffect> Create);
