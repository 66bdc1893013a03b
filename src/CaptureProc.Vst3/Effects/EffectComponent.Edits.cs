using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Effects;

// What a window of our own does with the parameters, on the thread of the host that called.
internal sealed unsafe partial class EffectComponent
{
    /// <summary>The user has taken hold of a parameter.</summary>
    internal void BeginEdit(int index)
    {
        if (handler != null)
            handler.Pointer->Table->BeginEdit(handler.Pointer, Table[index].Id);
    }

    /// <summary>Sets a value: here first, since not every host sends it back, then at the host, then the effect hears of it.</summary>
    internal void PerformEdit(int index, double normalized)
    {
        TakeEdit(index, normalized);
        if (handler != null)
            handler.Pointer->Table->PerformEdit(handler.Pointer, Table[index].Id, normalized);
        effect.OnEdited(index);
    }

    internal void EndEdit(int index)
    {
        if (handler != null)
            handler.Pointer->Table->EndEdit(handler.Pointer, Table[index].Id);
    }

    internal double ShownPlain(int index) => Table[index].ToPlain(meters.Normalized(index));

    internal string TextOf(int index, double plain) => effect.TextOf(index, plain) ?? Table[index].Format(plain);

    /// <summary>The host's menu for a parameter; false where it makes none.</summary>
    internal bool ShowHostMenu(IPlugView* view, int parameter, int x, int y)
    {
        if (handler == null)
            return false;
        using var third = ComReference<IComponentHandler3>.Query(handler.Pointer, IComponentHandler3.Iid);
        if (third == null)
            return false;
        var id = Table[parameter].Id;
        using var menu = ComReference<IContextMenu>.Own(third.Pointer->Table->CreateContextMenu(third.Pointer, view, &id));
        return menu != null && menu.Pointer->Table->Popup(menu.Pointer, x, y) == Result.Ok;
    }
}
