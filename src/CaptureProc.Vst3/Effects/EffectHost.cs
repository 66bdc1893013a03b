namespace CaptureProc.Vst3.Effects;

/// <summary>An effect's way to the values of its parameters and back to the host, outside the audio thread.</summary>
/// <remarks>Thread: [main], on the thread of the host that called; Plain is [any].</remarks>
public sealed class EffectHost
{
    private readonly EffectComponent component;

    internal EffectHost(EffectComponent component) => this.component = component;

    /// <summary>The value as the user has set it, in the parameter's unit.</summary>
    public double Plain(int index) => component.Table[index].ToPlain(component.Values.Edited(index));

    /// <summary>Sets a value as if the user had: the host sees the edit, can record and undo it.</summary>
    public void Edit(int index, double plain) => component.EditFromEffect(index, component.Table[index].ToNormalized(plain));

    /// <summary>Asks the host to read the names of values again.</summary>
    public void NamesChanged() => component.Restart(Abi.RestartFlags.ParamTitlesChanged);
}
