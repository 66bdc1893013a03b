using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Effects;

// What acts once (see Parameter.Act) is set by a hand or not at all. Hosts bracket what a hand does to a parameter that is neither
// automatable nor read-only by these two calls, and no lane of automation ever comes with them.
internal sealed unsafe partial class EffectComponent
{
    private int inHand = -1;

    private static IEditControllerHostEditing.Vtbl* BuildHostEditingTable()
    {
        var table = InterfaceMap.NewTable<IEditControllerHostEditing.Vtbl>();
        table->Base = UnknownTable;
        table->BeginEditFromHost = &BeginEditFromHost;
        table->EndEditFromHost = &EndEditFromHost;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int BeginEditFromHost(void* self, uint id)
    {
        try
        {
            var component = Self(self);
            component.inHand = component.Table.IndexOf(id);
            return component.inHand < 0 ? Result.InvalidArgument : Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int EndEditFromHost(void* self, uint id)
    {
        try
        {
            Self(self).inHand = -1;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }
}
