using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Testing;

/// <summary>Effect side and host side of the binding in one process, joined by the native interfaces alone.</summary>
internal static unsafe class InProcess
{
    public static HostedEffect Create(EffectClass effectClass)
    {
        var factory = new EffectFactory(new FactoryDescription("Tests", "", ""), effectClass);
        using var reference = ComReference<IPluginFactory>.Own(factory.Pointer())!;
        var context = new HostContext();
        var hosted = new HostedEffect(reference, context, new PluginClass(effectClass.Id, effectClass.Name, "", "", "", ""));
        context.Release();
        return hosted;
    }
}
