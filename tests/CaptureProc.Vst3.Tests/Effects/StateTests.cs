using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Vst3.TestPlugin;

namespace CaptureProc.Vst3.Tests.Effects;

public sealed class StateTests
{
    private const uint GainId = 10;

    [Fact]
    public void EveryValueComesBackFromAState()
    {
        using var first = InProcess.Create(GainEffect.Class);
        first.Start(48000, 64);
        foreach (var parameter in first.Parameters)
            if (!parameter.IsReadOnly)
                first.SetNormalized(parameter.Id, 1);
        first.Process(64);
        using var second = InProcess.Create(GainEffect.Class);
        second.SetState(first.GetState());
        Assert.All(second.Parameters, p => Assert.Equal(p.IsReadOnly ? 0 : 1, second.GetNormalized(p.Id)));
        Assert.Equal(first.GetState(), second.GetState());
    }

    [Fact]
    public void AStateIsInForceFromTheFirstFrameOn()
    {
        using var first = InProcess.Create(GainEffect.Class);
        first.SetNormalized(GainId, 0.9);
        using var second = InProcess.Create(GainEffect.Class);
        second.Start(48000, 64);
        second.SetState(first.GetState());
        second.Input<float>(0).Fill(1);
        second.Process(64);
        Assert.All(second.Output<float>(0).ToArray(), sample => Assert.Equal(1.8f, sample));
    }

    [Fact]
    public void WhatTheHostAutomatedIsInTheState()
    {
        using var effect = InProcess.Create(GainEffect.Class);
        effect.Start(48000, 64);
        effect.AddPoint(GainId, 0, 0.1);
        effect.AddPoint(GainId, 64, 0.2);
        effect.Process(64);
        using var other = InProcess.Create(GainEffect.Class);
        other.SetState(effect.GetState());
        Assert.Equal(0.2, other.GetNormalized(GainId));
    }

    [Fact]
    public void AnythingThatIsNoStateLeavesTheDefaultsAndIsNoError()
    {
        using var effect = InProcess.Create(GainEffect.Class);
        foreach (var foreign in new[] { [], [1], "BGn"u8.ToArray(), "Elsewhere and long enough"u8.ToArray() })
        {
            effect.SetNormalized(GainId, 1);
            effect.SetState(foreign);
            Assert.Equal(0.5, effect.GetNormalized(GainId));
        }
    }

    [Fact]
    public void AStateCutAnywhereIsReadAsFarAsItGoes()
    {
        using var source = InProcess.Create(GainEffect.Class);
        source.SetNormalized(GainId, 1);
        var whole = source.GetState();
        for (var length = 0; length < whole.Length; length++)
        {
            var condition = ParameterState.Read(GainEffect.Class, whole.AsSpan(0, length), out var values, out _);
            Assert.Equal(length < 12 ? StateCondition.Foreign : StateCondition.Damaged, condition);
            // Head 12 bytes, count 4, then the gain's id and value in 12.
            Assert.Equal(length < 28 ? 0.5 : 1, values[GainEffect.Gain]);
        }
    }

    [Fact]
    public void ANewerStateWithMoreInItIsReadForWhatIsKnown()
    {
        using var source = InProcess.Create(GainEffect.Class);
        source.SetNormalized(GainId, 1);
        var bytes = source.GetState();
        // A later version: number 2, one more parameter that nobody knows, more bytes at the end.
        var newer = new List<byte>(bytes[..12]) { [4] = 2, [8] = (byte)(bytes.Length - 12 + 12 + 5) };
        newer.AddRange([(byte)(bytes[12] + 1), 0, 0, 0]);
        newer.AddRange([99, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
        newer.AddRange(bytes[16..]);
        newer.AddRange([1, 2, 3, 4, 5]);
        Assert.Equal(StateCondition.Newer, ParameterState.Read(GainEffect.Class, newer.ToArray(), out var values, out var extra));
        Assert.Equal(1, values[GainEffect.Gain]);
        Assert.True(extra.IsEmpty);
    }

    [Fact]
    public void APresetFileHoldsTheStateAndRefusesAnotherClass()
    {
        using var effect = InProcess.Create(GainEffect.Class);
        var state = effect.GetState();
        var file = PresetFile.Write(GainEffect.Class.Id, state);
        Assert.Equal(state, PresetFile.ReadComponentState(file, GainEffect.Class.Id, "a.vstpreset"));
        Assert.Contains("another plug-in", Assert.Throws<PluginException>(() => PresetFile.ReadComponentState(file, new Tuid(1, 2, 3, 4), "a")).Message);
        Assert.Contains("not a VST 3 preset", Assert.Throws<PluginException>(() => PresetFile.ReadComponentState("WAVE"u8, new Tuid(1, 2, 3, 4), "a")).Message);
        for (var length = 48; length < file.Length; length++)
            Assert.Contains("damaged", Assert.Throws<PluginException>(() => PresetFile.ReadComponentState(file.AsSpan(0, length), GainEffect.Class.Id, "a")).Message);
    }
}
