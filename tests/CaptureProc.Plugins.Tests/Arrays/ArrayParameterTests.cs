using CaptureProc.Plugins.Arrays;
using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Tests.Arrays;

/// <summary>The table of the array plug-in: saved projects know its parameters by number and range.</summary>
public sealed class ArrayParameterTests
{
    private static ParameterTable Table => Bundle.Array.Parameters;

    // As they were when the first projects were saved; new ones may follow.
    private static readonly string[] Titles =
    [
        "Bypass", "Session", "Follow session", "Session status", "Array from", "Take preset", "Trim set", "Match level of trims",
        "Trim 1", "Trim 2", "Trim 3", "Trim 4", "Polarity 1", "Polarity 2", "Polarity 3", "Polarity 4", "Capsule order", "Radius", "Pattern",
        "Mount", "Correction", "Format", "Turn: yaw", "Turn: pitch", "Turn: roll", "Output gain", "Level of capsule 1", "Level of capsule 2",
        "Level of capsule 3", "Level of capsule 4", "Level of output 1", "Level of output 2", "Level of output 3", "Level of output 4", "Front/back",
        "Line-up", "Line-up reference", "Line-up tolerance", "Keep line-up", "Write line-up to session", "Trims from", "Line-up state", "Line-up feed",
        "Line-up difference 1", "Line-up difference 2", "Line-up difference 3", "Line-up difference 4",
        "Line-up uncertainty 1", "Line-up uncertainty 2", "Line-up uncertainty 3", "Line-up uncertainty 4",
        "Line-up verdict 1", "Line-up verdict 2", "Line-up verdict 3", "Line-up verdict 4", "Line-up kept",
        "Kept trim 1", "Kept trim 2", "Kept trim 3", "Kept trim 4", "Array status",
        "First set", "Second set", "Compare", "Compare at equal level", "Equal level adds", "Array",
    ];

    [Fact]
    public void IdsAndOrderAreThoseOfSavedProjects()
    {
        Assert.Equal(Titles, Enumerable.Range(0, Table.Count).Select(i => Table[i].Title));
        Assert.All(Enumerable.Range(0, Table.Count), i => Assert.Equal((uint)i, Table[i].Id));
    }

    [Fact]
    public void ANumberOfSteppedValuesNeverChangesSinceHostsSaveThemAsParts()
    {
        int Steps(int index) => Table[index].StepCount;
        Assert.Equal((63, 6, 1, 31, 5), (Steps(ArrayParameters.Session), Steps(ArrayParameters.Status), Steps(ArrayParameters.Source), Steps(ArrayParameters.TakePreset), Steps(ArrayParameters.TrimChoice)));
        Assert.Equal((47, 5, 2, 1), (Steps(ArrayParameters.Order), Steps(ArrayParameters.Mount), Steps(ArrayParameters.CorrectionChoice), Steps(ArrayParameters.Format)));
        Assert.Equal((3, 1), (Steps(LineUpParameters.Reference), Steps(LineUpParameters.TrimsFrom)));
        Assert.Equal((31, 31, 1), (Steps(CompareParameters.First), Steps(CompareParameters.Second), Steps(CompareParameters.Compare)));
    }

    [Fact]
    public void WhatIsNeitherShownNorAutomatableIsAnActAndThereAreThree()
    {
        var acts = new[] { ArrayParameters.TakePreset, LineUpParameters.Keep, LineUpParameters.Write };
        for (var i = 0; i < Table.Count; i++)
        {
            Assert.Equal(Table[i].IsReadOnly || acts.Contains(i), (Table[i].Flags & ParameterFlags.CanAutomate) == 0);
            Assert.Equal(acts.Contains(i), Table[i].IsAct);
        }
        for (var i = LineUpParameters.FirstShown; i <= ArrayParameters.ArrayStatus; i++)
            Assert.True(Table[i].IsReadOnly, Table[i].Title);
    }

    [Fact]
    public void NamedValuesHaveANameForEveryStepThatAHostCanShow()
    {
        for (var i = 0; i < Table.Count; i++)
        {
            if (Table[i].Names is not { } names)
                continue;
            Assert.Equal(Table[i].StepCount + 1, names.Count);
            Assert.Equal(names.Count, names.Distinct().Count());
            // 127 units and a zero is what a host has room for.
            Assert.All(names, name => Assert.InRange(name.Length, 1, 127));
        }
        Assert.Equal(Enum.GetValues<LineUpState>().Length, LineUpWords.States.Count);
        Assert.Equal(Enum.GetValues<LineUpVerdict>().Length, LineUpWords.Verdicts.Count);
        Assert.Equal(Enum.GetValues<LineUpOutcome>().Length, LineUpWords.Outcomes.Count);
        Assert.Equal(ArrayShape.NoSuchArray, Enum.GetValues<Dsp.Design.ArrayFault>().Length + ArrayShape.NoArrayInSession);
        Assert.Equal(ArrayShape.NoSuchArray + 1, ArrayShape.StatusNames.Count);
    }

    [Fact]
    public void ValuesSurviveAHostsThirtyTwoBitCopy()
    {
        for (var i = 0; i < Table.Count; i++)
        {
            var parameter = Table[i];
            foreach (var normalized in new[] { 0, 0.25, 1 / 3.0, parameter.DefaultNormalized, 1 })
            {
                var plain = parameter.ToPlain(normalized);
                Assert.Equal(plain, parameter.ToPlain(parameter.ToNormalized((float)plain)), 1e-6 * Math.Max(1, parameter.Maximum - parameter.Minimum));
                Assert.Equal(parameter.Format(plain), parameter.Format(parameter.ToPlain((float)parameter.ToNormalized(plain))));
            }
        }
    }
}
