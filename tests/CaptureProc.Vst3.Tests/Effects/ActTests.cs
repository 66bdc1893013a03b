using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Vst3.Tests.Effects;

/// <summary>What acts once is done by a hand, and by nothing else that a host sends.</summary>
public sealed unsafe class ActTests
{
    private const uint Act = 7;

    [Fact]
    public void AnActIsNeitherAutomatableNorReadOnlyAndTheClassSaysThatHostsMayEditIt()
    {
        using var effect = Create(out _);
        Assert.True(effect.Parameters.Single(p => p.Id == Act).IsHelper);
        using var editing = ComReference<IEditControllerHostEditing>.Query(effect.Controller, IEditControllerHostEditing.Iid);
        Assert.NotNull(editing);
    }

    [Fact]
    public void AutomationEchoedToTheControllerDoesNothing()
    {
        using var effect = Create(out var acts);
        effect.Controller->Table->SetParamNormalized(effect.Controller, Act, 1);
        effect.AddPoint(Act, 0, 1);
        effect.Process(16);
        Assert.Equal((0, 0), (acts.Count, effect.GetNormalized(Act)));
    }

    [Fact]
    public void AHandDoesItOnceAndTheValueSpringsBack()
    {
        using var effect = Create(out var acts);
        effect.SetNormalized(Act, 1);
        Assert.Equal((1, 0), (acts.Count, effect.GetNormalized(Act)));
        // After the hand is off, it is automation's again.
        effect.Controller->Table->SetParamNormalized(effect.Controller, Act, 1);
        Assert.Equal(1, acts.Count);
    }

    [Fact]
    public void AHandOnOneParameterIsNoHandOnAnother()
    {
        using var effect = Create(out var acts);
        using var editing = ComReference<IEditControllerHostEditing>.Query(effect.Controller, IEditControllerHostEditing.Iid)!;
        Assert.Equal(Result.Ok, editing.Pointer->Table->BeginEditFromHost(editing.Pointer, 8));
        effect.Controller->Table->SetParamNormalized(effect.Controller, Act, 1);
        editing.Pointer->Table->EndEditFromHost(editing.Pointer, 8);
        Assert.NotEqual(Result.Ok, editing.Pointer->Table->BeginEditFromHost(editing.Pointer, 99));
        Assert.Equal(0, acts.Count);
    }

    [Fact]
    public void AStateHoldsNoActAndBringsNone()
    {
        using var effect = Create(out var acts);
        var state = effect.GetState();
        // The last pair but the end: id 7 and its value, which an older version may have saved as on.
        var at = state.AsSpan().IndexOf(BitConverter.GetBytes(Act));
        BitConverter.TryWriteBytes(state.AsSpan(at + 4), 1.0);
        effect.SetState(state);
        effect.Process(16);
        Assert.Equal((0, 0), (acts.Count, effect.GetNormalized(Act)));
    }

    private static HostedEffect Create(out ActingEffect acting)
    {
        ActingEffect made = null!;
        var effect = InProcess.Create(ActingEffect.Class with { Create = () => made = new ActingEffect() });
        effect.Start(48000, 64);
        acting = made;
        return effect;
    }

    private sealed class ActingEffect : AudioEffect
    {
        public static EffectClass Class { get; } = new(
            new Tuid(0x51111111, 0x22222222, 0x33333333, 0x44444444), "Acting", "Fx", "1", new BusLayout(SpeakerArrangement.Mono, SpeakerArrangement.Mono),
            new ParameterTable(Parameter.Switch(Act, "Do it").AsAct(), Parameter.Switch(8, "Do that").AsAct()), "Actg", () => new ActingEffect());

        public int Count { get; private set; }

        public override int LatencyFrames => 0;

        public override void Prepare(double sampleRateHz, int maxBlockFrames)
        {
        }

        public override void Reset()
        {
        }

        public override void Process(in AudioBlock block) => block.Input(0).CopyTo(block.Output(0));

        public override void OnEdited(int parameter)
        {
            if (parameter != 0 || Host.Plain(0) < 0.5)
                return;
            Count++;
            Host.Edit(0, 0);
        }
    }
}
