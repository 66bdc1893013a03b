using CaptureProc.Plugins.Link;
using CaptureProc.Session;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Arrays;

/// <summary>Which of a session's arrays an instance plays: the main one unless another is chosen.</summary>
/// <remarks>Thread: [main] or the worker, under the effect's gate; names [any]. The parameter stands behind all else of the table.</remarks>
internal sealed class ArrayChoice
{
    /// <summary>Of the parameter in the table.</summary>
    public const int Index = 66;

    /// <summary>Arrays that the list can offer; value 0 is the main array. Their number lives in saved projects.</summary>
    private const int Slots = 32;

    private readonly SlotList slots = new(Slots, "Main array", "No array");

    public static Parameter Parameter(uint id) => Vst3.Effects.Parameter.NamedByEffect(id, "Array", Slots);

    /// <summary>Empty for the main array.</summary>
    public string Name { get; private set; } = "";

    public string NameAt(int value) => slots.NameAt(value);

    public bool IsOnOffer(int value) => value == 0 || slots.NameHeldAt(value).Length > 0;

    /// <summary>Puts a name back to the place that a saved number means.</summary>
    public void Restore(string name, int value)
    {
        slots.Pin(name, value);
        Name = slots.NameHeldAt(value);
    }

    /// <summary>Offers the arrays of a session; the chosen one stays on offer where it is gone.</summary>
    public void Offer(SessionDocument? session) =>
        slots.Update(session is { Arrays.Count: > 0 } ? session.Arrays.Where(a => !session.IsMain(a)).Select(a => a.Id) : [], Name);

    /// <summary>Takes the parameter's value; true where it is another array than before.</summary>
    public bool Choose(int value)
    {
        var name = slots.NameHeldAt(value);
        var isNew = name != Name;
        Name = name;
        return isNew;
    }

    /// <summary>The array of that name; null where the session has none.</summary>
    public static ArrayEntry? Find(SessionDocument? session, string name) => session is not { Arrays.Count: > 0 }
        ? null
        : name.Length == 0 ? session.MainArray() : session.Arrays.FirstOrDefault(a => string.Equals(a.Id, name, StringComparison.OrdinalIgnoreCase));
}
