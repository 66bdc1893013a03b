using CaptureProc.Plugins.Listening.Views;
using CaptureProc.Plugins.Views;
using CaptureProc.Plugins.Watching;
using CaptureProc.Vst3.Views;

namespace CaptureProc.Plugins.Listening;

// The window: what it shows beyond the parameters.
public sealed partial class ListenEffect
{
    private const int EarCount = 2;

    internal PeakWatch Peaks { get; } = new(EarCount);

    internal LoudnessWatch Loudness { get; } = new();

    public override EffectView CreateView() => new ListenView(this, order == 1, WindowPreferences.OfProcess, $"Listen {order}");

    /// <summary>Another number whenever a head has come, gone or been chosen.</summary>
    internal int NamesVersion() => head.NamesVersion;

    /// <summary>Whether there is anything behind a choice: hosts list all that there may be, a window only those.</summary>
    internal bool IsOnOffer(int parameter, int choice) => parameter != ListenParameters.Head || head.IsHeadAt(choice);
}
