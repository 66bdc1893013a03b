namespace CaptureProc.Vst3.Effects;

/// <summary>An effect's way to the values of its parameters and back to the host, outside the audio thread.</summary>
/// <remarks>Thread: [main], on the thread of the host that called; Plain, Shown and NamesChanged are [any].</remarks>
public sealed class EffectHost
{
    private readonly EffectComponent component;

    internal EffectHost(EffectComponent component) => this.component = component;

    /// <summary>What the parameters are.</summary>
    public ParameterTable Table => component.Table;

    /// <summary>The value as the user has set it, in the parameter's unit.</summary>
    public double Plain(int index) => component.Table[index].ToPlain(component.Values.Edited(index));

    /// <summary>A read-only value as the audio thread has shown it last, in the parameter's unit.</summary>
    public double Shown(int index) => component.ShownPlain(index);

    /// <summary>A value in words.</summary>
    public string TextOf(int index, double plain) => component.TextOf(index, plain);

    /// <summary>Shows a value of a parameter that is only read, in its unit, before there is a block to show it from. [any]</summary>
    public void Show(int index, double plain) => component.Show(index, plain);

    /// <summary>Sets a value as if the user had: the host sees the edit, can record and undo it.</summary>
    public void Edit(int index, double plain) => component.EditFromEffect(index, component.Table[index].ToNormalized(plain));

    /// <summary>The user takes hold of a parameter in our window; what follows up to <see cref="EndEdit"/> is one edit.</summary>
    public void BeginEdit(int index) => component.BeginEdit(index);

    /// <summary>The user moves it; the effect hears of it as of any edit.</summary>
    public void PerformEdit(int index, double plain) => component.PerformEdit(index, component.Table[index].ToNormalized(plain));

    public void EndEdit(int index) => component.EndEdit(index);

    /// <summary>Values are called otherwise now, or others are shown: the host is asked to read texts and values again, when it is next safe to.</summary>
    public void NamesChanged() => component.Leave(Abi.RestartFlags.ParamTitlesChanged | Abi.RestartFlags.ParamValuesChanged);

    /// <summary>Passes on what <see cref="NamesChanged"/> has left. A window calls it from its timer: then hosts hear of it without asking.</summary>
    public void TellNews() => component.TellNews();
}
