using CaptureProc.Dsp.Binaural;
using CaptureProc.Plugins.Link;
using CaptureProc.Session.Published;

namespace CaptureProc.Plugins.Listening;

/// <summary>How a plug-in has come by its head; the places in a read-only list.</summary>
internal enum HeadOrigin
{
    Chosen,
    KeptFromProject,
    NotFound,
}

/// <summary>The heads on offer and the one in use.</summary>
/// <remarks>
/// Thread: [main] or the shared worker, one at a time. A look compares the folder's time; files are read when one is chosen.
/// A head that came with a project stays as it was saved, whatever has become of its file.
/// </remarks>
internal sealed class HeadChoice
{
    /// <summary>The published set of measurements that the usual head was made of.</summary>
    public const string UsualName = "MIT KEMAR";

    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(1);

    private readonly SlotList names = new(ListenParameters.HeadSlots, UsualName);
    private readonly DirectoryInfo folder = new(PublishedHeads.Locate());
    private IReadOnlyList<(string Name, string Path)> heads = [];
    private long folderTicks = -1;
    private long nextLook;

    public HeadChoice() => Look();

    public BinauralDecoder Decoder { get; private set; } = DefaultHead.Decoder;

    /// <summary>Name of the published head in use; empty for the usual one.</summary>
    public string Name { get; private set; } = "";

    public HeadOrigin Origin { get; private set; }

    public string NameAt(int slot) => names.NameAt(slot);

    /// <summary>Brings the list up to date, at most once a second.</summary>
    public void Look()
    {
        if (Environment.TickCount64 < nextLook)
            return;
        nextLook = Environment.TickCount64 + (long)Interval.TotalMilliseconds;
        folder.Refresh();
        var ticks = folder.Exists ? folder.LastWriteTimeUtc.Ticks : 0;
        if (ticks == folderTicks)
            return;
        folderTicks = ticks;
        heads = PublishedHeads.List();
        names.Update(heads.Select(h => h.Name), Name);
    }

    /// <summary>Takes the head at a place of the list.</summary>
    public void Choose(int slot)
    {
        Name = slot == 0 ? "" : names.NameAt(slot);
        var read = slot == 0 ? DefaultHead.Decoder : Read(Name);
        (Decoder, Origin) = (read ?? DefaultHead.Decoder, read is null ? HeadOrigin.NotFound : HeadOrigin.Chosen);
    }

    /// <summary>Puts back what a project holds: the head's name at the place that the saved number means, and the head itself.</summary>
    public void Restore(string name, int slot, BinauralDecoder? kept)
    {
        names.Pin(name, slot);
        if (kept is null || slot == 0)
        {
            Choose(slot);
            return;
        }
        (Name, Decoder, Origin) = (name, kept, HeadOrigin.KeptFromProject);
    }

    private BinauralDecoder? Read(string name)
    {
        var path = heads.FirstOrDefault(h => string.Equals(h.Name, name, StringComparison.OrdinalIgnoreCase)).Path;
        if (path is null)
            return null;
        try
        {
            using var stream = File.OpenRead(path);
            return BinauralDecoderFormat.Read(stream);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or InvalidDataException)
        {
            // The usual head plays instead, and the status says so.
            return null;
        }
    }
}
