using CaptureProc.Screen.Controls;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Views;

/// <summary>A parameter as a control sees it: what is changed here is an edit of the user's at the host.</summary>
/// <remarks>Thread: [main].</remarks>
internal sealed class ParameterValue(PluginView view, EffectHost host, int index) : ControlValue
{
    private readonly Parameter parameter = host.Table[index];

    public override string Name => parameter.Title;

    public override string Unit => parameter.Unit;

    public override double Minimum => parameter.Minimum;

    public override double Maximum => parameter.Maximum;

    public override double Default => parameter.DefaultPlain;

    public override int StepCount => parameter.StepCount;

    public override int Decimals => parameter.Decimals;

    public override double Now => host.Plain(index);

    public override int NamesVersion => view.NamesVersion;

    /// <summary>Which choices are real; all that have a name unless told otherwise.</summary>
    public Func<int, bool>? IsOnOffer { get; init; }

    public override string NameOf(int choice) => IsOnOffer?.Invoke(choice) == false && choice != (int)Now ? "" : host.TextOf(index, choice);

    public override void Hold() => host.BeginEdit(index);

    public override void Set(double value) => host.PerformEdit(index, value);

    public override void Release() => host.EndEdit(index);

    public override bool TryParse(string text, out double value) => parameter.TryParse(text, out value);

    public override bool ShowHostMenu(float x, float y) => view.ShowHostMenu(index, x, y);
}
