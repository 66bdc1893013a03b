using CaptureProc.Dsp.Binaural;
using CaptureProc.Plugins.Link;

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
/// Thread: [main] or the shared worker, one at a time. No disk: what is on offer has been read by the worker of files.
/// A head that came with a project stays as it was saved, whatever has become of its file.
/// </remarks>
internal sealed class HeadChoice(HeadCatalog catalog)
{
    /// <summary>What the usual head is; whose it is stands in its notice.</summary>
    public const string UsualName = "Measured mannequin";

    private readonly SlotList names = new(ListenParameters.HeadSlots, UsualName, "No head");
    private IReadOnlyList<HeadEntry>? seen;
    private BinauralDecoder? decoder;

    /// <summary>The head in use.</summary>
    public BinauralDecoder Decoder => decoder ?? DefaultHead.Decoder;

    /// <summary>Name of the published head in use; empty for the usual one.</summary>
    public string Name { get; private set; } = "";

    public HeadOrigin Origin { get; private set; }

    /// <summary>Grows when the list has other names. [any]</summary>
    public int NamesVersion { get; private set; }

    public string NameAt(int slot) => names.NameAt(slot);

    /// <summary>Whether there is a head at a place of the list.</summary>
    public bool IsHeadAt(int slot) => slot == 0 || names.NameHeldAt(slot).Length > 0;

    /// <summary>Brings the list up to date; true where it has changed.</summary>
    public bool Look()
    {
        var entries = catalog.Entries;
        if (ReferenceEquals(entries, seen))
            return false;
        seen = entries;
        if (!names.Update(entries.Select(e => e.Name), Name))
            return false;
        NamesVersion++;
        return true;
    }

    /// <summary>Takes the head at a place of the list.</summary>
    public void Choose(int slot)
    {
        Name = slot == 0 ? "" : names.NameHeldAt(slot);
        decoder = slot == 0 ? null : catalog.Find(Name)?.Decoder;
        Origin = slot == 0 || decoder is not null ? HeadOrigin.Chosen : HeadOrigin.NotFound;
    }

    /// <summary>A chosen head that was not there may have come meanwhile; true where it has.</summary>
    public bool TryFind()
    {
        if (Origin != HeadOrigin.NotFound || Name.Length == 0 || catalog.Find(Name)?.Decoder is not { } found)
            return false;
        (decoder, Origin) = (found, HeadOrigin.Chosen);
        return true;
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
        (Name, decoder, Origin) = (name, kept, HeadOrigin.KeptFromProject);
    }
}
