using System.Runtime.CompilerServices;
using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Arrays.Views;
using CaptureProc.Plugins.Views;
using CaptureProc.Session;
using CaptureProc.Vst3.Views;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

// The window: what it shows beyond the parameters, and its buttons.
public sealed partial class ArrayEffect
{
    private const int FewCorrections = 2;

    internal ArraySight Sight { get; } = new();

    public override EffectView CreateView() =>
        new ArrayView(this, WindowPreferences.OfProcess, corrections.Length > FewCorrections ? "Array" : "Array Live");

    /// <summary>Another number whenever names or values of the session are others.</summary>
    internal int NamesVersion() => HashCode.Combine(Link.Version, RuntimeHelpers.GetHashCode(Catalog.Entries), RuntimeHelpers.GetHashCode(trims));

    /// <summary>Whether there is anything behind a choice: hosts list all that there may be, a window only those.</summary>
    internal bool IsOnOffer(int parameter, int choice) => parameter switch
    {
        ArrayParameters.Session => IsSessionAt(choice),
        TrimChoice => trims.IsChoice(choice),
        CompareParameters.First or CompareParameters.Second => trims.IsCompared(choice),
        _ => true,
    };

    /// <summary>The capsules on the four channels, of the session's array or as set by hand.</summary>
    internal CapsuleShown[] CapsulesShown()
    {
        if (Host.Plain(Source) < 0.5 && Link.Session is { Arrays.Count: > 0 } session && session.MainArray() is { Capsules.Count: LineUpParameters.Channels } array)
            return [.. array.Capsules.Select(c => new CapsuleShown(c.Label, c.AzimuthDeg, c.ElevationDeg))];
        var order = (int)Host.Plain(Order);
        return [.. CapsuleOrders.Directions(order).Zip(CapsuleOrders.Names[order].Split(' '), (d, label) => new CapsuleShown(label, d.AzimuthDeg, d.ElevationDeg))];
    }
}
