using System.Runtime.InteropServices;
using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Vst3.Tests.Effects;

/// <summary>What hosts really pass to a process call.</summary>
public sealed unsafe class ProcessingTests
{
    private const int MaxFrames = 64;

    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(64)]
    [InlineData(200)]
    public void OutputDoesNotDependOnTheBlockLengthEvenBeyondTheMaximum(int blockFrames)
    {
        using var effect = Started(SwapEffect.Class);
        var input = Noise(2, 1000, 11);
        var output = new float[2][] { new float[1000], new float[1000] };
        for (var start = 0; start < 1000; start += blockFrames)
            Process(effect, input, output, start, Math.Min(blockFrames, 1000 - start));
        Assert.Equal(input[1], output[0]);
        Assert.Equal(input[0], output[1]);
    }

    [Fact]
    public void ChannelsThatShareMemoryWithOthersAreAllReadBeforeAnyIsWritten()
    {
        // The effect swaps its channels: written in place and in order, the first output would destroy the second input.
        using var effect = Started(SwapEffect.Class);
        var input = Noise(2, 64, 12);
        var shared = new[] { (float[])input[0].Clone(), (float[])input[1].Clone() };
        Process(effect, shared, shared, 0, 64);
        Assert.Equal(input[1], shared[0]);
        Assert.Equal(input[0], shared[1]);

        var crossed = new[] { (float[])input[0].Clone(), (float[])input[1].Clone() };
        Process(effect, crossed, [crossed[1], crossed[0]], 0, 64);
        Assert.Equal(input[1], crossed[1]);
        Assert.Equal(input[0], crossed[0]);
    }

    [Fact]
    public void InputsAreNeverWrittenTo()
    {
        using var effect = Started(SwapEffect.Class);
        var input = Noise(2, 64, 13);
        input[0][5] = float.NaN;
        var before = input.Select(c => (float[])c.Clone()).ToArray();
        Process(effect, input, [new float[64], new float[64]], 0, 64);
        Assert.Equal(before[0], input[0]);
        Assert.Equal(before[1], input[1]);
    }

    [Fact]
    public void SixtyFourBitSamplesGiveTheSameOutput()
    {
        using var effect = Started(SwapEffect.Class, SampleSize.Float64);
        var input = Noise(2, MaxFrames, 14);
        for (var channel = 0; channel < 2; channel++)
            for (var i = 0; i < MaxFrames; i++)
                effect.Input<double>(channel)[i] = input[channel][i];
        effect.Process(MaxFrames);
        for (var channel = 0; channel < 2; channel++)
            Assert.Equal(input[1 - channel], effect.Output<double>(channel).ToArray().Select(x => (float)x));
    }

    [Fact]
    public void WhatIsNotANumberOrInfiniteBecomesSilenceAndTheRestStays()
    {
        using var effect = Started(SwapEffect.Class);
        float[] bad = [float.NaN, float.PositiveInfinity, float.NegativeInfinity, -float.NaN];
        for (var length = 1; length <= 33; length++)
            for (var at = 0; at < length; at++)
            {
                var input = Noise(2, length, 100 + length);
                var expected = (float[])input[0].Clone();
                input[0][at] = bad[at % bad.Length];
                expected[at] = 0;
                var output = new[] { new float[length], new float[length] };
                Process(effect, input, output, 0, length);
                Assert.Equal(expected, output[1]);
                Assert.Equal(input[1], output[0]);
            }
    }

    [Fact]
    public void SilenceIsFlaggedChannelByChannelAndOnlyWhereAllOfItIsZero()
    {
        using var effect = Started(SwapEffect.Class);
        Assert.Equal(0b11ul, Process(effect, [new float[40], new float[40]], [new float[40], new float[40]], 0, 40));
        for (var at = 0; at < 40; at++)
        {
            var one = new float[40];
            one[at] = 1e-30f;
            Assert.Equal(0b01ul, Process(effect, [one, new float[40]], [new float[40], new float[40]], 0, 40));
        }
    }

    [Fact]
    public void MissingInputsAreSilentAndSurplusOutputsAreCleared()
    {
        using var effect = Started(SwapEffect.Class);
        var input = Noise(1, 64, 15);
        var output = Noise(3, 64, 16);
        Assert.Equal(0b101ul, Process(effect, input, output, 0, 64));
        Assert.All(output[0], sample => Assert.Equal(0f, sample));
        Assert.Equal(input[0], output[1]);
        Assert.All(output[2], sample => Assert.Equal(0f, sample));
    }

    [Fact]
    public void NullPointersAndEmptyBlocksAreLegal()
    {
        using var effect = Started(SwapEffect.Class);
        var data = new ProcessData { NumSamples = 0 };
        Assert.Equal(Result.Ok, effect.Processor->Table->Process(effect.Processor, &data));
        data.NumSamples = 64;
        Assert.Equal(Result.Ok, effect.Processor->Table->Process(effect.Processor, &data));
        (data.NumInputs, data.NumOutputs) = (1, 1);
        Assert.Equal(Result.Ok, effect.Processor->Table->Process(effect.Processor, &data));
        var (empty, nulls) = (new AudioBusBuffers(), new AudioBusBuffers { NumChannels = 2 });
        data.Inputs = &empty;
        data.Outputs = &nulls;
        Assert.Equal(Result.Ok, effect.Processor->Table->Process(effect.Processor, &data));
        void** pointers = stackalloc void*[2] { null, null };
        nulls.Channels = pointers;
        data.Inputs = &nulls;
        Assert.Equal(Result.Ok, effect.Processor->Table->Process(effect.Processor, &data));
        Assert.NotEqual(Result.Ok, effect.Processor->Table->Process(effect.Processor, null));
    }

    [Fact]
    public void AnExceptionBecomesAResultCodeAndSilence()
    {
        using var effect = Started(SwapEffect.Class with { Create = () => new FailingEffect() });
        var output = Noise(2, 64, 17);
        var failure = Assert.Throws<PluginException>(() => Process(effect, Noise(2, 64, 18), output, 0, 64));
        Assert.Contains("fails while it processes", failure.Message);
        Assert.All(output[0].Concat(output[1]), sample => Assert.Equal(0f, sample));
    }

    [Fact]
    public void ProcessingBeforeSetupIsSilent()
    {
        using var effect = InProcess.Create(SwapEffect.Class);
        var output = Noise(2, 64, 19);
        Assert.Equal(0b11ul, Process(effect, Noise(2, 64, 20), output, 0, 64));
        Assert.All(output[0].Concat(output[1]), sample => Assert.Equal(0f, sample));
    }

    [Fact]
    public void NothingIsAllocatedFromTheFirstBlockOn()
    {
        // The host's own queues are warmed up on another instance: it is the effect side that is counted, both run on this thread.
        using (var warm = Started(SwapEffect.Class))
            for (var i = 0; i < 30; i++)
                warm.Process(64);
        using var effect = Started(SwapEffect.Class);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var i = 0; i < 30; i++)
            effect.Process(64);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Theory]
    [InlineData(0x3ul, true)]
    [InlineData(0x30ul, true)]
    [InlineData(3ul << 62, true)]
    [InlineData(0x1ul, false)]
    [InlineData(0x7ul, false)]
    [InlineData(0x0ul, false)]
    public void AnArrangementIsTakenByItsCountAndGivenBackBitForBit(ulong arrangement, bool taken)
    {
        using var effect = InProcess.Create(SwapEffect.Class);
        var table = effect.Processor->Table;
        var result = table->SetBusArrangements(effect.Processor, &arrangement, 1, &arrangement, 1);
        Assert.Equal(taken ? Result.True : Result.False, result);
        ulong reported;
        Assert.Equal(Result.Ok, table->GetBusArrangement(effect.Processor, (int)BusDirection.Input, 0, &reported));
        Assert.Equal(taken ? arrangement : SpeakerArrangement.Stereo, reported);
        Assert.Equal(2, effect.InputChannels);
    }

    [Fact]
    public void DeactivatingWhatWasNeverActiveAndStartingTwiceAreHarmless()
    {
        using var effect = InProcess.Create(SwapEffect.Class);
        Assert.Equal(Result.Ok, effect.Component->Table->SetActive(effect.Component, 0));
        Assert.Equal(Result.Ok, effect.Processor->Table->SetProcessing(effect.Processor, 0));
        Assert.Equal(Result.Ok, effect.Component->Table->SetActive(effect.Component, 1));
        Assert.Equal(Result.Ok, effect.Component->Table->Base.Initialize(effect.Component, null));
        Assert.Equal(Result.Ok, effect.Component->Table->Base.Terminate(effect.Component));
        Assert.Equal(Result.Ok, effect.Component->Table->Base.Initialize(effect.Component, null));
        effect.Start(96000, 32);
        effect.Start(44100, 16);
        effect.Process(16);
    }

    private static HostedEffect Started(EffectClass effectClass, SampleSize size = SampleSize.Float32)
    {
        var effect = InProcess.Create(effectClass);
        effect.Start(48000, MaxFrames, ProcessMode.Realtime, size);
        return effect;
    }

    private static float[][] Noise(int channels, int frames, int seed)
    {
        var random = new Random(seed);
        return Enumerable.Range(0, channels)
            .Select(_ => Enumerable.Range(0, frames).Select(_ => (float)(2 * random.NextDouble() - 1)).ToArray())
            .ToArray();
    }

    /// <summary>One call with these very arrays; returns the silence flags of the output.</summary>
    private static ulong Process(HostedEffect effect, float[][] input, float[][] output, int start, int frames)
    {
        var handles = input.Concat(output).Select(channel => GCHandle.Alloc(channel, GCHandleType.Pinned)).ToArray();
        try
        {
            void** pointers = stackalloc void*[handles.Length];
            for (var i = 0; i < handles.Length; i++)
                pointers[i] = (float*)handles[i].AddrOfPinnedObject() + start;
            var ins = new AudioBusBuffers { NumChannels = input.Length, Channels = pointers };
            var outs = new AudioBusBuffers { NumChannels = output.Length, Channels = pointers + input.Length };
            var data = new ProcessData { NumSamples = frames, NumInputs = 1, NumOutputs = 1, Inputs = &ins, Outputs = &outs };
            if (effect.Processor->Table->Process(effect.Processor, &data) != Result.Ok)
                throw new PluginException("The plug-in fails while it processes.");
            return outs.SilenceFlags;
        }
        finally
        {
            foreach (var handle in handles)
                handle.Free();
        }
    }

    private sealed class FailingEffect : AudioEffect
    {
        public override int LatencyFrames => 0;

        public override void Prepare(double sampleRateHz, int maxBlockFrames)
        {
        }

        public override void Reset()
        {
        }

        public override void Process(in AudioBlock block) => throw new InvalidOperationException("on purpose");
    }

    private sealed class SwapEffect : AudioEffect
    {
        public static EffectClass Class { get; } = new(
            new Tuid(0x11111111, 0x22222222, 0x33333333, 0x44444444), "Swap", "Fx", "1", new BusLayout(SpeakerArrangement.Stereo, SpeakerArrangement.Stereo),
            new ParameterTable(), "Swap", () => new SwapEffect());

        public override int LatencyFrames => 0;

        public override void Prepare(double sampleRateHz, int maxBlockFrames)
        {
        }

        public override void Reset()
        {
        }

        public override void Process(in AudioBlock block)
        {
            block.Input(1).CopyTo(block.Output(0));
            block.Input(0).CopyTo(block.Output(1));
        }
    }
}
