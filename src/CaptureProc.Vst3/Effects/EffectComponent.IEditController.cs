using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;
using CaptureProc.Vst3.Views;

namespace CaptureProc.Vst3.Effects;

internal sealed unsafe partial class EffectComponent
{
    private static IEditController.Vtbl* BuildControllerTable()
    {
        var table = InterfaceMap.NewTable<IEditController.Vtbl>();
        table->Base = PluginBaseTable;
        table->SetComponentState = &SetComponentState;
        table->SetState = &SetControllerState;
        table->GetState = &GetControllerState;
        table->GetParameterCount = &GetParameterCount;
        table->GetParameterInfo = &GetParameterInfo;
        table->GetParamStringByValue = &GetParamStringByValue;
        table->GetParamValueByString = &GetParamValueByString;
        table->NormalizedParamToPlain = &NormalizedParamToPlain;
        table->PlainParamToNormalized = &PlainParamToNormalized;
        table->GetParamNormalized = &GetParamNormalized;
        table->SetParamNormalized = &SetParamNormalized;
        table->SetComponentHandler = &SetComponentHandler;
        table->CreateView = &CreateView;
        return table;
    }

    // The host repeats to the controller what it gave the component; here the component has it already.
    [UnmanagedCallersOnly]
    private static int SetComponentState(void* self, IBStream* stream) => stream == null ? Result.InvalidArgument : Result.Ok;

    // The controller keeps nothing of its own.
    [UnmanagedCallersOnly]
    private static int SetControllerState(void* self, IBStream* stream) => Result.Ok;

    [UnmanagedCallersOnly]
    private static int GetControllerState(void* self, IBStream* stream) => Result.Ok;

    [UnmanagedCallersOnly]
    private static int GetParameterCount(void* self)
    {
        try
        {
            return Self(self).Table.Count;
        }
        catch
        {
            return 0;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetParameterInfo(void* self, int index, ParameterInfo* info)
    {
        try
        {
            var table = Self(self).Table;
            if (info == null || index < 0 || index >= table.Count)
                return Result.InvalidArgument;
            var parameter = table[index];
            *info = new ParameterInfo
            {
                Id = parameter.Id, StepCount = parameter.StepCount, DefaultNormalizedValue = parameter.DefaultNormalized, Flags = parameter.Flags,
            };
            NativeText.Write(parameter.Title, info->Title, NativeText.String128Length);
            NativeText.Write(parameter.ShortTitle, info->ShortTitle, NativeText.String128Length);
            NativeText.Write(parameter.Unit, info->Units, NativeText.String128Length);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetParamStringByValue(void* self, uint id, double normalized, char* text)
    {
        try
        {
            var component = Self(self);
            var index = component.Table.IndexOf(id);
            if (text == null || index < 0)
                return Result.InvalidArgument;
            var plain = component.Table[index].ToPlain(normalized);
            NativeText.Write(component.effect.TextOf(index, plain) ?? component.Table[index].Format(plain), text, NativeText.String128Length);
            component.TellNewsHere();
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetParamValueByString(void* self, uint id, char* text, double* normalized)
    {
        try
        {
            var component = Self(self);
            var index = component.Table.IndexOf(id);
            if (text == null || normalized == null || index < 0)
                return Result.InvalidArgument;
            var given = NativeText.Read(text, NativeText.String128Length);
            if (!component.TryFindName(index, given, out var plain) && !component.Table[index].TryParse(given, out plain))
                return Result.False;
            *normalized = component.Table[index].ToNormalized(plain);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    // The names that only the instance knows are found by asking it for all of them.
    private bool TryFindName(int index, string text, out double plain)
    {
        var parameter = Table[index];
        for (plain = 0; parameter.Names == null && plain <= parameter.StepCount && parameter.StepCount > 0; plain++)
            if (effect.TextOf(index, plain) is { Length: > 0 } name && string.Equals(name, text.Trim(), StringComparison.OrdinalIgnoreCase))
                return true;
        return false;
    }

    [UnmanagedCallersOnly]
    private static double NormalizedParamToPlain(void* self, uint id, double normalized)
    {
        try
        {
            var table = Self(self).Table;
            var index = table.IndexOf(id);
            return index < 0 ? normalized : table[index].ToPlain(normalized);
        }
        catch
        {
            return normalized;
        }
    }

    [UnmanagedCallersOnly]
    private static double PlainParamToNormalized(void* self, uint id, double plain)
    {
        try
        {
            var table = Self(self).Table;
            var index = table.IndexOf(id);
            return index < 0 ? plain : table[index].ToNormalized(plain);
        }
        catch
        {
            return plain;
        }
    }

    [UnmanagedCallersOnly]
    private static double GetParamNormalized(void* self, uint id)
    {
        try
        {
            var component = Self(self);
            var index = component.Table.IndexOf(id);
            if (index < 0)
                return 0;
            return component.Table[index].IsReadOnly ? component.meters.Normalized(index) : component.Values.Edited(index);
        }
        catch
        {
            return 0;
        }
    }

    [UnmanagedCallersOnly]
    private static int SetParamNormalized(void* self, uint id, double normalized)
    {
        try
        {
            var component = Self(self);
            var index = component.Table.IndexOf(id);
            if (index < 0 || !double.IsFinite(normalized))
                return Result.InvalidArgument;
            component.TellNewsHere();
            // Hosts echo meter values into the controller, which has them already.
            if (component.Table[index].IsReadOnly)
                return Result.Ok;
            // Some hosts send the controller every value that automation plays: what acts once waits for a hand.
            if (component.Table[index].IsAct && component.inHand != index)
                return Result.Ok;
            component.TakeEdit(index, Math.Clamp(normalized, 0, 1));
            component.effect.OnEdited(index);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int SetComponentHandler(void* self, IComponentHandler* handler)
    {
        try
        {
            var component = Self(self);
            var old = component.handler;
            component.handler = ComReference<IComponentHandler>.Share(handler);
            component.uiThread = Environment.CurrentManagedThreadId;
            old?.Dispose();
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    // Null where the effect has no view, or the name is none that the interface knows: the host then shows its own panel.
    [UnmanagedCallersOnly]
    private static void* CreateView(void* self, byte* name)
    {
        try
        {
            if (name == null || Marshal.PtrToStringUTF8((nint)name) != "editor")
                return null;
            var component = Self(self);
            return component.effect.CreateView() is { } view ? new ViewComponent(component, view).Pointer() : null;
        }
        catch
        {
            return null;
        }
    }
}
