namespace CaptureProc.Plugins.Work;

/// <summary>Designs that every instance with the same settings uses together: made once, kept as long as somebody uses them.</summary>
/// <typeparam name="TKey">Everything that the design depends on.</typeparam>
/// <typeparam name="TDesign">Immutable.</typeparam>
/// <remarks>
/// Thread: [main] and the workers; nobody waits for another's design. Two that ask for the same at once both make it, and share the
/// one that was first.
/// </remarks>
internal sealed class SharedDesigns<TKey, TDesign>
    where TKey : notnull
    where TDesign : class
{
    private readonly Lock gate = new();
    private readonly Dictionary<TKey, WeakReference<TDesign>> designs = [];

    public TDesign Get(TKey key, Func<TKey, TDesign> make)
    {
        if (Find(key) is { } known)
            return known;
        var made = make(key);
        lock (gate)
        {
            if (designs.TryGetValue(key, out var reference) && reference.TryGetTarget(out var first))
                return first;
            foreach (var (gone, _) in designs.Where(d => !d.Value.TryGetTarget(out _)).ToList())
                designs.Remove(gone);
            designs[key] = new WeakReference<TDesign>(made);
            return made;
        }
    }

    private TDesign? Find(TKey key)
    {
        lock (gate)
            return designs.TryGetValue(key, out var reference) && reference.TryGetTarget(out var known) ? known : null;
    }
}
