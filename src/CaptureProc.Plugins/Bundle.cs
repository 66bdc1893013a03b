using CaptureProc.Dsp.Design;
using CaptureProc.Plugins.Arrays;
using CaptureProc.Plugins.Link;
using CaptureProc.Plugins.Listening;
using CaptureProc.Plugins.Spots;
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
    public const string Version = BundleVersion.Number;

    private const string Kind = "Fx|Spatial|Ambisonics";

    // The table of parameters is the same at every rate; a shape just needs one.
    private const double UsualSampleRateHz = 48000;

    public static FactoryDescription Description { get; } = new("CaptureProc", "", "");

    public static EffectClass Array { get; } = ArrayClass(0x5E71B301, "CaptureProc Array", "CpAr", ("None", Correction.None), ("Live", Correction.Live), ("Full", Correction.Full));

    public static EffectClass ArrayLive { get; } = ArrayClass(0x5E71B302, "CaptureProc Array Live", "CpAL", ("None", Correction.None), ("Live", Correction.Live));

    public static EffectClass Spot { get; } = SpotClass(0x5E71B311, "CaptureProc Spot", "CpS1", SpeakerArrangement.Mono, SpeakerArrangement.Mono);

    public static EffectClass SpotStereo { get; } = SpotClass(0x5E71B312, "CaptureProc Spot Stereo", "CpS2", SpeakerArrangement.Stereo, SpeakerArrangement.Stereo);

    public static EffectClass Spot4 { get; } = SpotClass(0x5E71B314, "CaptureProc Spot 4", "CpS4", SpeakerArrangement.AmbisonicOrder1, SpeakerArrangement.AmbisonicOrder1);

    public static EffectClass Place1 { get; } = SpotClass(0x5E71B321, "CaptureProc Place 1", "CpP1", SpeakerArrangement.Mono, SpeakerArrangement.AmbisonicOrder1);

    public static EffectClass Place2 { get; } = SpotClass(0x5E71B322, "CaptureProc Place 2", "CpP2", SpeakerArrangement.Mono, SpeakerArrangement.AmbisonicOrder2);

    public static EffectClass Place3 { get; } = SpotClass(0x5E71B323, "CaptureProc Place 3", "CpP3", SpeakerArrangement.Mono, SpeakerArrangement.AmbisonicOrder3);

    public static EffectClass Listen1 { get; } = ListenClass(0x5E71B331, "CaptureProc Listen 1", "CpL1", SpeakerArrangement.AmbisonicOrder1, 1);

    public static EffectClass Listen2 { get; } = ListenClass(0x5E71B332, "CaptureProc Listen 2", "CpL2", SpeakerArrangement.AmbisonicOrder2, 2);

    public static EffectClass Listen3 { get; } = ListenClass(0x5E71B333, "CaptureProc Listen 3", "CpL3", SpeakerArrangement.AmbisonicOrder3, 3);

    public static IReadOnlyList<EffectClass> Classes { get; } =
        [Array, ArrayLive, Spot, SpotStereo, Spot4, Place1, Place2, Place3, Listen1, Listen2, Listen3];

    public static EffectFactory CreateFactory() => new(Description, [.. Classes]);

    private static Tuid Id(uint last) => new(0x0F2C6A51, 0x9B3E4D17, 0xA6D08C42, last);

    private static EffectClass ArrayClass(uint id, string name, string magic, params (string Name, Correction Correction)[] corrections) => new(
        Id(id), name, Kind, Version, new BusLayout(SpeakerArrangement.AmbisonicOrder1, SpeakerArrangement.AmbisonicOrder1),
        ArrayParameters.Table([.. corrections.Select(c => c.Name)]), magic,
        () => new ArrayEffect(ProcessShares.Sessions, [.. corrections.Select(c => c.Correction)]));

    private static EffectClass ListenClass(uint id, string name, string magic, ulong input, int order) => new(
        Id(id), name, Kind, Version, new BusLayout(input, SpeakerArrangement.Stereo), ListenParameters.Table(order), magic,
        () => new ListenEffect(ProcessShares.Heads, order));

    private static EffectClass SpotClass(uint id, string name, string magic, ulong input, ulong output)
    {
        var buses = new BusLayout(input, output);
        var parameters = new SpotParameters(new SpotShape(buses.InputChannels, buses.OutputChannels, UsualSampleRateHz));
        return new EffectClass(
            Id(id), name, Kind, Version, buses, parameters.Table, magic,
            () => new SpotEffect(ProcessShares.Sessions, buses.InputChannels, buses.OutputChannels, parameters));
    }
}
