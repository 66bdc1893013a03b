using CaptureProc.Dsp.Binaural;
using CaptureProc.Plugins.Link;
using CaptureProc.Session.Published;

namespace CaptureProc.Plugins.Listening;

/// <summary>All published heads, read as a whole: some tens of kilobytes each, so that choosing one never waits for a disk.</summary>
internal sealed class HeadCatalog(string? folder = null) : FileCatalog<HeadEntry>(PublishedHeads.Locate(folder))
{
    // A decoder of three orders has some hundred kilobytes; a file beyond this is not read into somebody else's process.
    private const long MaxFileBytes = 16 << 20;

    private readonly string? folder = folder;

    protected override IReadOnlyList<(string Name, string Path)> List() => PublishedHeads.List(folder);

    protected override HeadEntry? Read(string name, FileInfo file)
    {
        try
        {
            if (!file.Exists)
                return null;
            if (file.Length > MaxFileBytes)
                return new HeadEntry(name, null);
            using var stream = file.OpenRead();
            return new HeadEntry(name, BinauralDecoderFormat.Read(stream));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or InvalidDataException)
        {
            // The usual head plays instead, and the status says so.
            return new HeadEntry(name, null);
        }
    }

    protected override HeadEntry Unanswered(string name, string path) => new(name, null);

    protected override string NameOf(HeadEntry entry) => entry.Name;
}
