using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Effects;

/// <summary>Who made a library, as hosts show it.</summary>
public sealed record FactoryDescription(string Vendor, string Url, string Email);

/// <summary>The list of classes of a library, and their maker.</summary>
/// <remarks>Thread: [main]. The library has to stay loaded for good, and the factory says so to hosts that ask.</remarks>
public sealed unsafe class EffectFactory : ComObject
{
    /// <summary>The category of a sounding class.</summary>
    public const string AudioCategory = "Audio Module Class";

    /// <summary>The version of the SDK that the classes say they follow.</summary>
    public const string SdkVersion = "VST 3.8.1";

    private const int ManyInstances = int.MaxValue;

    private static readonly InterfaceMap Map = new();
    private static readonly int FactorySlot = Map.Add(BuildTable(), IPluginFactory.Iid, IPluginFactory2.Iid, IPluginFactory3.Iid);

    private readonly FactoryDescription description;
    private readonly EffectClass[] classes;

    public EffectFactory(FactoryDescription description, params EffectClass[] classes)
        : base(Map) => (this.description, this.classes) = (description, classes);

    private static IPluginFactory3.Vtbl* BuildTable()
    {
        var table = InterfaceMap.NewTable<IPluginFactory3.Vtbl>();
        ref var first = ref table->Base.Base;
        first.Base = UnknownTable;
        first.GetFactoryInfo = &GetFactoryInfo;
        first.CountClasses = &CountClasses;
        first.GetClassInfo = &GetClassInfo;
        first.CreateInstance = &CreateInstance;
        table->Base.GetClassInfo2 = &GetClassInfo2;
        table->GetClassInfoUnicode = &GetClassInfoUnicode;
        table->SetHostContext = &SetHostContext;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int GetFactoryInfo(void* self, PFactoryInfo* info)
    {
        try
        {
            if (info == null)
                return Result.InvalidArgument;
            var description = From<EffectFactory>(self).description;
            *info = new PFactoryInfo { Flags = (int)(FactoryFlags.Unicode | FactoryFlags.ComponentNonDiscardable) };
            NativeText.WriteUtf8(description.Vendor, info->Vendor, 64);
            NativeText.WriteUtf8(description.Url, info->Url, 256);
            NativeText.WriteUtf8(description.Email, info->Email, 128);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int CountClasses(void* self)
    {
        try
        {
            return From<EffectFactory>(self).classes.Length;
        }
        catch
        {
            return 0;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetClassInfo(void* self, int index, PClassInfo* info)
    {
        try
        {
            if (info == null || !From<EffectFactory>(self).TryGet(index, out var effect))
                return Result.InvalidArgument;
            *info = new PClassInfo { Cid = effect.Id, Cardinality = ManyInstances };
            NativeText.WriteUtf8(AudioCategory, info->Category, 32);
            NativeText.WriteUtf8(effect.Name, info->Name, 64);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetClassInfo2(void* self, int index, PClassInfo2* info)
    {
        try
        {
            var factory = From<EffectFactory>(self);
            if (info == null || !factory.TryGet(index, out var effect))
                return Result.InvalidArgument;
            *info = new PClassInfo2 { Cid = effect.Id, Cardinality = ManyInstances, ClassFlags = (uint)ComponentFlags.SimpleModeSupported };
            NativeText.WriteUtf8(AudioCategory, info->Category, 32);
            NativeText.WriteUtf8(effect.Name, info->Name, 64);
            NativeText.WriteUtf8(effect.SubCategories, info->SubCategories, 128);
            NativeText.WriteUtf8(factory.description.Vendor, info->Vendor, 64);
            NativeText.WriteUtf8(effect.Version, info->Version, 64);
            NativeText.WriteUtf8(SdkVersion, info->SdkVersion, 64);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetClassInfoUnicode(void* self, int index, PClassInfoW* info)
    {
        try
        {
            var factory = From<EffectFactory>(self);
            if (info == null || !factory.TryGet(index, out var effect))
                return Result.InvalidArgument;
            *info = new PClassInfoW { Cid = effect.Id, Cardinality = ManyInstances, ClassFlags = (uint)ComponentFlags.SimpleModeSupported };
            NativeText.WriteUtf8(AudioCategory, info->Category, 32);
            NativeText.Write(effect.Name, info->Name, 64);
            NativeText.WriteUtf8(effect.SubCategories, info->SubCategories, 128);
            NativeText.Write(factory.description.Vendor, info->Vendor, 64);
            NativeText.Write(effect.Version, info->Version, 64);
            NativeText.Write(SdkVersion, info->SdkVersion, 64);
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
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
            foreach (var effect in From<EffectFactory>(self).classes)
            {
                if (effect.Id != *classId)
                    continue;
                var component = new EffectComponent(effect);
                var answer = component.QueryInterface(*interfaceId, result);
                component.Release();
                return answer;
            }
            return Result.NoInterface;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int SetHostContext(void* self, FUnknown* context) => Result.Ok;

    private bool TryGet(int index, out EffectClass effect)
    {
        var found = index >= 0 && index < classes.Length;
        effect = found ? classes[index] : classes[0];
        return found;
    }
}
