using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Effects;

internal sealed unsafe partial class EffectComponent
{
    private static IComponent.Vtbl* BuildComponentTable()
    {
        var table = InterfaceMap.NewTable<IComponent.Vtbl>();
        table->Base = PluginBaseTable;
        table->GetControllerClassId = &GetControllerClassId;
        table->SetIoMode = &SetIoMode;
        table->GetBusCount = &GetBusCount;
        table->GetBusInfo = &GetBusInfo;
        table->GetRoutingInfo = &GetRoutingInfo;
        table->ActivateBus = &ActivateBus;
        table->SetActive = &SetActive;
        table->SetState = &SetState;
        table->GetState = &GetState;
        return table;
    }

    private static IPluginBase.Vtbl PluginBaseTable => new() { Base = UnknownTable, Initialize = &Initialize, Terminate = &Terminate };

    // Hosts may initialize the component and the controller, which are one object here, and do so again after terminate.
    [UnmanagedCallersOnly]
    private static int Initialize(void* self, FUnknown* context) => Result.Ok;

    [UnmanagedCallersOnly]
    private static int Terminate(void* self)
    {
        try
        {
            var component = Self(self);
            component.handler?.Dispose();
            component.handler = null;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    // One object is both: there is no class of its own to name.
    [UnmanagedCallersOnly]
    private static int GetControllerClassId(void* self, Tuid* classId) => Result.NotImplemented;

    [UnmanagedCallersOnly]
    private static int SetIoMode(void* self, int mode) => Result.NotImplemented;

    [UnmanagedCallersOnly]
    private static int GetBusCount(void* self, int type, int direction) =>
        type == (int)MediaType.Audio && direction is (int)BusDirection.Input or (int)BusDirection.Output ? 1 : 0;

    [UnmanagedCallersOnly]
    private static int GetBusInfo(void* self, int type, int direction, int index, BusInfo* bus)
    {
        try
        {
            if (bus == null || !IsBus(type, direction, index))
                return Result.InvalidArgument;
            var input = direction == (int)BusDirection.Input;
            var buses = Self(self).effectClass.Buses;
            *bus = new BusInfo
            {
                MediaType = MediaType.Audio, Direction = (BusDirection)direction, BusType = BusType.Main,
                ChannelCount = input ? buses.InputChannels : buses.OutputChannels, Flags = BusFlags.DefaultActive,
            };
            NativeText.Write(input ? "Input" : "Output", bus->Name, NativeText.String128Length);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetRoutingInfo(void* self, RoutingInfo* from, RoutingInfo* to) => Result.NotImplemented;

    // Nothing to switch: process looks at what the host really passes.
    [UnmanagedCallersOnly]
    private static int ActivateBus(void* self, int type, int direction, int index, byte state) =>
        IsBus(type, direction, index) ? Result.Ok : Result.InvalidArgument;

    [UnmanagedCallersOnly]
    private static int SetActive(void* self, byte state)
    {
        try
        {
            Self(self).Activate(state != 0);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int SetState(void* self, IBStream* stream)
    {
        try
        {
            if (stream == null)
                return Result.InvalidArgument;
            var component = Self(self);
            var bytes = NativeStream.ReadToEnd(stream, ParameterState.LimitBytes);
            var condition = ParameterState.Read(component.effectClass, bytes, out var normalized, out var extra);
            component.Values.Replace(normalized);
            component.effect.LoadExtra(extra, condition);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetState(void* self, IBStream* stream)
    {
        try
        {
            if (stream == null)
                return Result.InvalidArgument;
            var component = Self(self);
            var bytes = ParameterState.Write(component.effectClass, component.Values.Snapshot(), component.effect.SaveExtra());
            return NativeStream.WriteAll(stream, bytes) ? Result.Ok : Result.False;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    private static bool IsBus(int type, int direction, int index) =>
        type == (int)MediaType.Audio && direction is (int)BusDirection.Input or (int)BusDirection.Output && index == 0;
}
