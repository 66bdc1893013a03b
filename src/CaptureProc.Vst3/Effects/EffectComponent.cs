using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Effects;

/// <summary>One instance as the host sees it: component, processor and controller in a single object.</summary>
/// <remarks>
/// A single object because the halves would otherwise have to talk through the host, which some hosts do late or not at all.
/// Each file of this class holds one interface. Every native entry point catches everything: an exception that crossed into
/// the host would end its process.
/// </remarks>
internal sealed unsafe partial class EffectComponent : ComObject
{
    private static readonly InterfaceMap Map = new();
    private static readonly int ComponentSlot = Map.Add(BuildComponentTable(), IComponent.Iid, IPluginBase.Iid);
    private static readonly int ProcessorSlot = Map.Add(BuildProcessorTable(), IAudioProcessor.Iid);
    private static readonly int ControllerSlot = Map.Add(BuildControllerTable(), IEditController.Iid);
    private static readonly int HostEditingSlot = Map.Add(BuildHostEditingTable(), IEditControllerHostEditing.Iid);
    private static readonly int RequirementsSlot = Map.Add(BuildRequirementsTable(), IProcessContextRequirements.Iid);

    private readonly EffectClass effectClass;
    private readonly AudioEffect effect;
    private ComReference<IComponentHandler>? handler;

    public EffectComponent(EffectClass effectClass)
        : base(Map)
    {
        this.effectClass = effectClass;
        Values = new ParameterValues(effectClass.Parameters);
        lines = new ParameterLines(effectClass.Parameters, Values);
        meters = new MeterBank(effectClass.Parameters);
        (inputArrangement, outputArrangement) = (effectClass.Buses.Input, effectClass.Buses.Output);
        effect = effectClass.Create();
        effect.Host = new EffectHost(this);
        effect.OnOpened();
    }

    internal ParameterTable Table => effectClass.Parameters;

    internal ParameterValues Values { get; }

    internal void EditFromEffect(int index, double normalized)
    {
        TakeEdit(index, normalized);
        if (handler == null)
            return;
        var to = handler.Pointer;
        var id = Table[index].Id;
        to->Table->BeginEdit(to, id);
        to->Table->PerformEdit(to, id, normalized);
        to->Table->EndEdit(to, id);
    }

    internal void Show(int index, double plain) => meters.Set(index, plain);

    private void TakeEdit(int index, double normalized)
    {
        Values.SetEdited(index, normalized);
        if (!active && !Table[index].IsAct)
            Values.ReplaceLive(index, normalized);
    }

    protected override void OnReleased()
    {
        handler?.Dispose();
        effect.OnClosed();
    }

    private static EffectComponent Self(void* self) => From<EffectComponent>(self);
}
