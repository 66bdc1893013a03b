namespace CaptureProc.Plugins.Link;

/// <summary>Names at the numbered places of a list parameter, so that a place keeps its name while names come and go.</summary>
/// <remarks>
/// Thread: locks its own gate for moments; [main] and the shared worker, never [audio].
/// Hosts save and resend the number of a choice, not its name. Were the list merely sorted, a session published later would
/// make a saved number mean another one. So a name keeps its place for the life of the instance, a restored choice is put
/// back at the number it was saved with, and new names fill the free places. Place 0 is "none". The number of places belongs to
/// saved projects, so a host lists them all; a free one says that it is free.
/// </remarks>
public sealed class SlotList(int count, string none, string free)
{
    private readonly Lock gate = new();
    private readonly string?[] names = new string?[count];

    /// <summary>What a place is called.</summary>
    public string NameAt(int slot) => slot == 0 ? none : NameHeldAt(slot) is { Length: > 0 } name ? name : $"{free} ({slot})";

    /// <summary>The name at a place; empty where there is none.</summary>
    public string NameHeldAt(int slot)
    {
        lock (gate)
            return slot > 0 && slot < names.Length ? names[slot] ?? "" : "";
    }

    /// <summary>The place of a name, 0 for none or an unknown one.</summary>
    public int SlotOf(string name)
    {
        lock (gate)
            return Find(name);
    }

    /// <summary>Puts a name at a given place, whatever stood there moves to where there is room.</summary>
    public void Pin(string name, int slot)
    {
        if (slot <= 0 || slot >= names.Length || name.Length == 0)
            return;
        lock (gate)
        {
            var former = Find(name);
            if (former == slot)
                return;
            var displaced = names[slot];
            names[slot] = name;
            if (former > 0)
                names[former] = displaced;
            else if (displaced is not null)
                PlaceFree(displaced);
        }
    }

    /// <summary>Brings the list up to date: names that are gone leave (but not <paramref name="keep"/>), new ones enter.</summary>
    /// <returns>Whether anything changed.</returns>
    public bool Update(IEnumerable<string> current, string keep)
    {
        lock (gate)
        {
            var changed = false;
            var wanted = current.Where(name => name.Length > 0).ToList();
            for (var slot = 1; slot < names.Length; slot++)
            {
                if (names[slot] is not { } name || name == keep || wanted.Contains(name, StringComparer.OrdinalIgnoreCase))
                    continue;
                names[slot] = null;
                changed = true;
            }
            foreach (var name in wanted)
                if (Find(name) == 0)
                    changed |= PlaceFree(name);
            return changed;
        }
    }

    private int Find(string name)
    {
        for (var slot = 1; slot < names.Length; slot++)
            if (string.Equals(names[slot], name, StringComparison.OrdinalIgnoreCase))
                return slot;
        return 0;
    }

    private bool PlaceFree(string name)
    {
        for (var slot = 1; slot < names.Length; slot++)
        {
            if (names[slot] is not null)
                continue;
            names[slot] = name;
            return true;
        }
        return false;
    }
}
