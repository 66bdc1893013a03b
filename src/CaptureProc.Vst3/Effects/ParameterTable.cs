namespace CaptureProc.Vst3.Effects;

/// <summary>All parameters of a class, in the order that hosts show them.</summary>
/// <remarks>
/// Thread: [any], immutable. Elsewhere a parameter goes by its index here; its id only matters to the host.
/// Ids, order and ranges belong to the projects that users have saved: add at the end, change nothing.
/// </remarks>
public sealed class ParameterTable
{
    private readonly Parameter[] parameters;
    private readonly Dictionary<uint, int> indexOfId;

    public ParameterTable(params Parameter[] parameters)
    {
        this.parameters = parameters;
        indexOfId = new Dictionary<uint, int>(parameters.Length);
        var titles = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        for (var i = 0; i < parameters.Length; i++)
        {
            if (!indexOfId.TryAdd(parameters[i].Id, i))
                throw new ArgumentException($"Two parameters have the id {parameters[i].Id}.", nameof(parameters));
            if (!titles.Add(parameters[i].Title))
                throw new ArgumentException($"Two parameters are called '{parameters[i].Title}'.", nameof(parameters));
        }
    }

    public int Count => parameters.Length;

    public Parameter this[int index] => parameters[index];

    /// <summary>The index of an id, or −1. Safe on the audio thread: a look-up allocates nothing.</summary>
    public int IndexOf(uint id) => indexOfId.TryGetValue(id, out var index) ? index : -1;
}
