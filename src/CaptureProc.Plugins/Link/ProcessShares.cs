using CaptureProc.Plugins.Listening;
using CaptureProc.Plugins.Work;

namespace CaptureProc.Plugins.Link;

/// <summary>What the instances of this process share.</summary>
internal static class ProcessShares
{
    public static ProcessFiles<SessionCatalog, CatalogEntry> Sessions { get; } =
        new(SharedWorker.OfProcess, SharedWorker.OfFiles, () => new SessionCatalog());

    public static ProcessFiles<HeadCatalog, HeadEntry> Heads { get; } =
        new(SharedWorker.OfProcess, SharedWorker.OfFiles, () => new HeadCatalog());
}
