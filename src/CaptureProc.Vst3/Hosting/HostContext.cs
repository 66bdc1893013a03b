using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>The host as a plug-in sees it: a name, and a maker of messages and attribute lists.</summary>
/// <remarks>Thread: [any].</remarks>
internal sealed unsafe class HostContext : ComObject
{
    private const string Name = "CaptureProc";

    private static readonly InterfaceMap Map = new();
    private static readonly int Slot = Map.Add(BuildTable(), IHostApplication.Iid);

    public HostContext()
        : base(Map)
    {
    }

    private static IHostApplication.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IHostApplication.Vtbl>();
        table->Base = UnknownTable;
        table->GetName = &GetName;
        table->CreateInstance = &CreateInstance;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int GetName(void* self, char* name)
    {
        if (name == null)
            return Result.InvalidArgument;
        NativeText.Write(Name, name, NativeText.String128Length);
        return Result.Ok;
    }

    [UnmanagedCallersOnly]
    private static int CreateInstance(void* self, Tuid* classId, Tuid* interfaceId, void** result)
    {
        try
        {
            if (result == null)
                return Result.InvalidArgument;
            *result = null;
            if (classId == null || interfaceId == null)
                return Result.InvalidArgument;
            ComObject made;
            if (*classId == IMessage.Iid)
                made = new HostMessage();
            else if (*classId == IAttributeList.Iid)
                made = new HostAttributes();
            else
                return Result.NoInterface;
            var answer = made.QueryInterface(*interfaceId, result);
            made.Release();
            return answer;
        }
        catch
        {
            return Result.InternalError;
        }
    }
}
