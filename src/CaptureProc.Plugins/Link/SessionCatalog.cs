using CaptureProc.Session.Published;

namespace CaptureProc.Plugins.Link;

/// <summary>All published sessions.</summary>
public sealed class SessionCatalog(string? folder = null) : FileCatalog<CatalogEntry>(folder ?? PublishedFolder.Locate())
{
    private readonly string folder = folder ?? PublishedFolder.Locate();

    protected override IReadOnlyList<(string Name, string Path)> List() =>
        [.. PublishedSessions.List(folder).Select(p => (p.Name, p.SessionPath))];

    protected override CatalogEntry Read(string name, FileInfo file) => CatalogEntry.Read(name, file);

    protected override CatalogEntry Unanswered(string name, string path) => new(name, path, null, LinkStatus.Missing, "");

    protected override string NameOf(CatalogEntry entry) => entry.Name;
}
