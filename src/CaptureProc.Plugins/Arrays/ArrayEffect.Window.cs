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
    internal bool IsOnOffer(int parameter, int value) => parameter switch
    {
        ArrayParameters.Session => IsSessionAt(value),
        TrimChoice => trims.IsChoice(value),
        CompareParameters.First or CompareParameters.Second => trims.IsCompared(value),
        ArrayChoice.Index => choice.IsOnOffer(value),
        _ => true,
    };

    /// <summary>The array of the session that plays; null where it is set by hand.</summary>
    internal ArrayEntry? ArrayNow() => Host.Plain(Source) < 0.5 ? Locked(() => ArrayChoice.Find(Link.Session, choice.Name)) : null;

    /// <summary>Whether a session is in use that has arrays.</summary>
    internal bool HasArrays => Link.Session is { Arrays.Count: > 0 };

    /// <summary>How the session's array is built, in three short lines; empty where there is none.</summary>
    internal string[] MicrophoneShown()
    {
        if (ArrayNow() is not { } array)
            return ["", "", ""];
        var mount = Mounts.IndexOf(array.Mount.YawDeg, array.Mount.PitchDeg, array.Mount.RollDeg);
        return
        [
            string.Join(' ', array.Capsules.Select(c => c.Label)),
            FormattableString.Invariant($"radius {array.RadiusMm:0.#} mm, pattern {array.Pattern:0.00}"),
            mount >= 0
                ? Mounts.Names[mount]
                : FormattableString.Invariant($"turned {array.Mount.YawDeg:0.#}°, {array.Mount.PitchDeg:0.#}°, {array.Mount.RollDeg:0.#}°"),
        ];
    }

    /// <summary>The capsules on the four channels, of the session's array or as set by hand.</summary>
    internal CapsuleShown[] CapsulesShown()
    {
        if (ArrayNow() is { Capsules.Count: LineUpParameters.Channels } array)
            return [.. array.Capsules.Select(c => new CapsuleShown(c.Label, c.AzimuthDeg, c.ElevationDeg))];
        var order = (int)Host.Plain(Order);
        return [.. CapsuleOrders.Directions(order).Zip(CapsuleOrders.Names[order].Split(' '), (d, label) => new CapsuleShown(label, d.AzimuthDeg, d.ElevationDeg))];
    }
}
