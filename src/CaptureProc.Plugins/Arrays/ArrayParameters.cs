using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Link;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Arrays;

/// <summary>What hosts show of the array plug-in. Ids, order and ranges live in saved projects: add at the end, change nothing.</summary>
internal static class ArrayParameters
{
    public const int Bypass = 0, Session = 1, Follow = 2, Status = 3, Source = 4, TakePreset = 5, TrimChoice = 6, LevelMatch = 7;
    public const int Trim = 8, Polarity = 12, Order = 16, Radius = 17, Pattern = 18, Mount = 19, CorrectionChoice = 20, Format = 21;
    public const int Yaw = 22, Pitch = 23, Roll = 24, OutputGain = 25, CapsuleLevel = 26, OutputLevel = 30, FrontBack = 34;

    /// <summary>Behind those of <see cref="LineUpParameters"/>; those of <see cref="CompareParameters"/> follow, then <see cref="ArrayChoice"/>.</summary>
    public const int ArrayStatus = 60;

    /// <summary>Values of <see cref="Source"/>.</summary>
    public const int FromSession = 0, ByHand = 1;

    private const double LowestLevelDb = -120;

    /// <param name="corrections">The corrections that the class's latency has room for.</param>
    public static ParameterTable Table(IReadOnlyList<string> corrections)
    {
        uint id = 0;
        var all = new List<Parameter>
        {
            Parameter.Bypass(id++),
            LinkParameters.Session(id++),
            LinkParameters.Follow(id++),
            LinkParameters.Status(id++),
            Parameter.List(id++, "Array from", ["Session", "By hand"]),
            Parameter.NamedByEffect(id++, "Take preset", PresetChoices.Count).AsAct(),
            Parameter.NamedByEffect(id++, "Trim set", TrimTable.ChoiceCount),
            Parameter.Switch(id++, "Match level of trims"),
        };
        for (var i = 1; i <= 4; i++)
            all.Add(Parameter.Range(id++, $"Trim {i}", "dB", -12, 12, 0, 2));
        for (var i = 1; i <= 4; i++)
            all.Add(Parameter.List(id++, $"Polarity {i}", ["Normal", "Inverted"]));
        all.Add(Parameter.List(id++, "Capsule order", CapsuleOrders.Names));
        all.Add(Parameter.Range(id++, "Radius", "mm", 2, 100, 15, 1));
        all.Add(Parameter.Range(id++, "Pattern", "", 0.1, 0.9, 0.5, 2));
        all.Add(Parameter.List(id++, "Mount", Mounts.Names));
        all.Add(Parameter.List(id++, "Correction", corrections, corrections.Count - 1));
        all.Add(Parameter.List(id++, "Format", ["AmbiX", "FuMa"]));
        foreach (var turn in (ReadOnlySpan<string>)["yaw", "pitch", "roll"])
            all.Add(Parameter.Range(id++, $"Turn: {turn}", "°", -180, 180, 0, 1));
        all.Add(Parameter.Range(id++, "Output gain", "dB", -24, 24, 0, 2));
        for (var i = 1; i <= 4; i++)
            all.Add(Parameter.Meter(id++, $"Level of capsule {i}", "dBFS", LowestLevelDb, 6, 1));
        for (var i = 1; i <= 4; i++)
            all.Add(Parameter.Meter(id++, $"Level of output {i}", "dBFS", LowestLevelDb, 6, 1));
        all.Add(Parameter.Meter(id++, "Front/back", "dB", -30, 30, 1, resting: 0));
        all.AddRange(LineUpParameters.All(id));
        all.Add(LineUpParameters.Shown((uint)all.Count, "Array status", ArrayShape.StatusNames));
        all.AddRange(CompareParameters.All((uint)all.Count));
        all.Add(ArrayChoice.Parameter((uint)all.Count));
        return new ParameterTable([.. all]);
    }
}
