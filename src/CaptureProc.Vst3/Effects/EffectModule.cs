namespace CaptureProc.Vst3.Effects;

/// <summary>A library of effects from its loading to its unloading: what the exported functions of a bundle stand on.</summary>
/// <remarks>
/// Thread: [main]. Hosts may enter and exit several times, also after an exit, so entries are counted. The factory is made
/// once and stays, like the library itself, which the .NET runtime does not allow to be unloaded.
/// </remarks>
public sealed unsafe class EffectModule(Func<EffectFactory> createFactory, Action? onExit = null)
{
    private readonly Lock gate = new();
    private EffectFactory? factory;
    private int entries;

    public bool Enter()
    {
        lock (gate)
            entries++;
        return true;
    }

    /// <summary>The last exit runs onExit: what must not leak into a next entry is closed there.</summary>
    public bool Exit()
    {
        try
        {
            lock (gate)
            {
                if (entries == 0)
                    return false;
                if (--entries == 0)
                    onExit?.Invoke();
            }
            return true;
        }
        catch
        {
            return false;
        }
    }

    /// <summary>A counted pointer to the factory, or null when it cannot be made.</summary>
    public void* GetFactory()
    {
        try
        {
            lock (gate)
            {
                factory ??= createFactory();
                factory.AddRef();
                return factory.Pointer();
            }
        }
        catch
        {
            return null;
        }
    }
}
