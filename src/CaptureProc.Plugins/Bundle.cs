using CaptureProc.Dsp.Design;
using CaptureProc.Plugins.Arrays;
using CaptureProc.Plugins.Link;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins;

/// <summary>All classes of the bundle.</summary>
/// <remarks>
/// One library for all of them, because every library carries a runtime of its own; one class for each width, because hosts do not
/// negotiate widths. Ids live in saved projects and never change.
/// </remarks>
public static class Bundle
{
    public const string Version = "0.1.0";

    private const string Kind = "Fx|Spatial|Ambisonics";

    public static FactoryDescription Description { get; } = new("CaptureProc", "", "");

    public static EffectClass Array { get; } = new(
        new Tuid(0x0F2C6A51, 0x9B3E4D17, 0xA6D08C42, 0x5E71B301), "CaptureProc Array", Kind, Version,
        new BusLayout(SpeakerArrangement.AmbisonicOrder1, SpeakerArrangement.AmbisonicOrder1),
        ArrayParameters.Table(["None", "Live", "Full"]), "CpAr",
        () => new ArrayEffect(ProcessSessions.OfProcess, Correction.None, Correction.Live, Correction.Full));

    public static EffectClass ArrayLive { get; } = new(
        new Tuid(0x0F2C6A51, 0x9B3E4D17, 0xA6D08C42, 0x5E71B302), "CaptureProc Array Live", Kind, Version,
        new BusLayout(SpeakerArrangement.AmbisonicOrder1, SpeakerArrangement.AmbisonicOrder1),
        ArrayParameters.Table(["None", "Live"]), "CpAL",
        () => new ArrayEffect(ProcessSessions.OfProcess, Correction.None, Correction.Live));

    public static IReadOnlyList<EffectClass> Classes { get; } = [Array, ArrayLive];

    public static EffectFactory CreateFactory() => new(Description, [.. Classes]);
}
