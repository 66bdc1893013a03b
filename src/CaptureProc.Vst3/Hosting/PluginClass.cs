using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Hosting;

/// <summary>What a library says of one of its classes.</summary>
public sealed record PluginClass(Tuid Id, string Name, string Category, string SubCategories, string Vendor, string Version);
