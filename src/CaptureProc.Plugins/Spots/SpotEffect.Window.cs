using System.Runtime.CompilerServices;
using CaptureProc.Plugins.Spots.Views;
using CaptureProc.Plugins.Views;
using CaptureProc.Plugins.Watching;
using CaptureProc.Vst3.Views;
using static CaptureProc.Plugins.Spots.SpotParameters;

namespace CaptureProc.Plugins.Spots;

// The window: what it shows beyond the parameters.
public sealed partial class SpotEffect
{
    /// <summary>Of the first output.</summary>
    internal PeakWatch Peaks { get; } = new(1);

    internal double SampleRateNowHz => shape.SampleRateHz;

    private string Title => shape.IsPlacing ? "Place" : shape.Inputs switch { 1 => "Spot", 2 => "Spot Stereo", _ => "Spot 4" };

    public override EffectView CreateView() => new SpotView(this, parameters, WindowPreferences.OfProcess, Title);

    /// <summary>Another number whenever names or values of the session are others.</summary>
    internal int NamesVersion() => HashCode.Combine(Link.Version, RuntimeHelpers.GetHashCode(Catalog.Entries), RuntimeHelpers.GetHashCode(values));

    /// <summary>Whether there is anything behind a choice: hosts list all that there may be, a window only those.</summary>
    internal bool IsOnOffer(int parameter, int choice) => parameter switch
    {
        SpotParameters.Session => IsSessionAt(choice),
        Spot => choice == 0 || spots.NameHeldAt(choice).Length > 0,
        _ when parameter == parameters.LineUpWith => choice == 0 || arrays.NameHeldAt(choice).Length > 0,
        _ => true,
    };

    /// <summary>The chosen spot as the session in use has it.</summary>
    internal SpotShown SpotNow() => SpotShown.Of(
        Link.Session, spots.NameHeldAt((int)Host.Plain(Spot)), arrays.NameHeldAt((int)Host.Plain(parameters.LineUpWith)));
}
