using CaptureProc.Dsp.Design;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>What every class of the bundle promises, whatever it does to the sound.</summary>
[Collection(NativePlugins.Collection)]
public sealed class ClassContractTests(NativePlugins plugins)
{
    public static TheoryData<string> Classes => [.. NativePlugins.ClassNames];

    [Fact]
    public void TheBundleOffersTheClassesWithTheirWidths()
    {
        var expected = new[]
        {
            ("CaptureProc Array", 4, 4), ("CaptureProc Array Live", 4, 4), ("CaptureProc Spot", 1, 1), ("CaptureProc Spot Stereo", 2, 2),
            ("CaptureProc Spot 4", 4, 4), ("CaptureProc Place 1", 1, 4), ("CaptureProc Place 2", 1, 9), ("CaptureProc Place 3", 1, 16),
            ("CaptureProc Listen 1", 4, 2), ("CaptureProc Listen 2", 9, 2), ("CaptureProc Listen 3", 16, 2),
        };
        var actual = plugins.Bundle.Classes.Select(c =>
        {
            using var effect = plugins.Bundle.Create(c);
            return (c.Name, effect.InputChannels, effect.OutputChannels);
        });
        Assert.Equal(expected, actual);
    }

    [Fact]
    public void LatencyIsThatOfTheLongestCorrectionOrMakesRoomForTenMilliseconds()
    {
        int Of(string name)
        {
            using var effect = plugins.Start(name, 64);
            return effect.LatencyFrames;
        }

        Assert.Equal(EncoderDesign.LatencyFrames(Correction.Full, 48000), Of("CaptureProc Array"));
        Assert.InRange(Of("CaptureProc Array Live"), 1, 64);
        for (var order = 1; order <= 3; order++)
            Assert.Equal(48, Of($"CaptureProc Listen {order}"));
        foreach (var name in NativePlugins.ClassNames.Where(n => !n.Contains("Array", StringComparison.Ordinal) && !n.Contains("Listen", StringComparison.Ordinal)))
            Assert.InRange(Of(name), 480, 480 + 256);
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void LatencyIsKnownBeforeTheStartAndNoParameterChangesIt(string name)
    {
        using var effect = plugins.Create(name);
        var latency = effect.LatencyFrames;
        foreach (var parameter in effect.Parameters.Where(p => !p.IsReadOnly))
            foreach (var value in new[] { 0, 0.4, 1 })
            {
                effect.SetNormalized(parameter.Id, value);
                Assert.Equal(latency, effect.LatencyFrames);
            }
        effect.Start(48000, 64);
        Assert.Equal(latency, effect.LatencyFrames);
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void BypassPassesTheInputLateByTheLatency(string name)
    {
        using var effect = plugins.Start(name, 100, ("Bypass", "On"));
        var input = Playing.Noise(effect.InputChannels, 2000, 41);
        var output = Playing.Play(effect, input, 100);
        for (var channel = 0; channel < output.Length; channel++)
        {
            Assert.All(output[channel][..effect.LatencyFrames], sample => Assert.Equal(0f, sample));
            Assert.Equal(
                channel < input.Length ? input[channel][..(2000 - effect.LatencyFrames)] : new float[2000 - effect.LatencyFrames],
                output[channel][effect.LatencyFrames..]);
        }
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void HowTheStreamIsCutIntoBlocksChangesNothing(string name)
    {
        float[][] Run(Func<int, int> blocks, int maximum)
        {
            using var effect = plugins.Start(name, maximum, Colourful(name));
            return Playing.Play(effect, Playing.Noise(effect.InputChannels, 4000, 42), blocks);
        }

        var whole = Run(_ => 4000, 4000);
        Assert.Contains(whole, channel => channel.Any(sample => sample != 0));
        var random = new Random(43);
        // The last bits may differ where a vector's sum is cut elsewhere; -140 dBFS is below one step of a 24-bit file.
        foreach (var (blocks, maximum) in new (Func<int, int>, int)[] { (_ => 1, 1), (_ => 64, 64), (_ => 127, 512), (_ => random.Next(1, 300), 300) })
            Assert.InRange(Playing.DifferenceDb(Run(blocks, maximum), whole), double.NegativeInfinity, -140);
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void SixtyFourBitSamplesGiveTheSameOutput(string name)
    {
        using var effect = plugins.Create(name);
        var input = Playing.Noise(effect.InputChannels, 512, 44);
        float[][] Run(SampleSize size)
        {
            effect.Start(NativePlugins.SampleRateHz, 512, ProcessMode.Offline, size);
            for (var channel = 0; channel < input.Length; channel++)
                for (var n = 0; n < 512; n++)
                {
                    if (size == SampleSize.Float64)
                        effect.Input<double>(channel)[n] = input[channel][n];
                    else
                        effect.Input<float>(channel)[n] = input[channel][n];
                }
            effect.Process(512);
            return [.. Enumerable.Range(0, effect.OutputChannels).Select(channel => size == SampleSize.Float64
                ? effect.Output<double>(channel).ToArray().Select(sample => (float)sample).ToArray()
                : effect.Output<float>(channel).ToArray())];
        }

        Assert.Equal(Run(SampleSize.Float32), Run(SampleSize.Float64));
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void StoppingAndStartingForgetsThePast(string name)
    {
        using var effect = plugins.Start(name, 256, Colourful(name));
        var input = Playing.Noise(effect.InputChannels, 2048, 45);
        var first = Playing.Play(effect, input, 256);
        Playing.Play(effect, Playing.Noise(effect.InputChannels, 777, 46), 256);
        effect.Stop();
        effect.Start(NativePlugins.SampleRateHz, 256, ProcessMode.Realtime);
        Assert.Equal(first, Playing.Play(effect, input, 256));
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void SilenceStaysSilentAndIsFlagged(string name)
    {
        using var effect = plugins.Start(name, 256, Colourful(name));
        for (var block = 0; block < 10; block++)
        {
            effect.Process(256);
            Assert.Equal((1ul << effect.OutputChannels) - 1, effect.OutputSilence);
            for (var channel = 0; channel < effect.OutputChannels; channel++)
                Assert.All(effect.Output<float>(channel).ToArray(), sample => Assert.Equal(0f, sample));
        }
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void BadSamplesComeOutFiniteAndAreForgotten(string name)
    {
        using var effect = plugins.Start(name, 256, Colourful(name));
        var bad = Playing.Noise(effect.InputChannels, 256, 47);
        foreach (var channel in bad)
            (channel[10], channel[20], channel[30], channel[40]) = (float.NaN, float.PositiveInfinity, float.NegativeInfinity, 1e38f);
        Assert.All(Playing.Play(effect, bad, 256).SelectMany(c => c), sample => Assert.True(float.IsFinite(sample)));
        var memory = new float[effect.InputChannels][];
        for (var channel = 0; channel < memory.Length; channel++)
            memory[channel] = new float[48000];
        // Half a second is longer than any delay and any filter of the bundle.
        var after = Playing.Play(effect, memory, 256);
        Assert.All(after, channel => Assert.All(channel[30000..], sample => Assert.Equal(0f, sample)));
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void EveryParameterComesBackFromTheStateAndSoundsTheSame(string name)
    {
        using var effect = plugins.Start(name, 256, Colourful(name));
        var input = Playing.Noise(effect.InputChannels, 3000, 48);
        var expected = Playing.Play(effect, input, 256);
        using var other = plugins.Create(name);
        other.SetState(effect.GetState());
        Assert.All(effect.Parameters.Where(p => !p.IsReadOnly), p => Assert.Equal(effect.GetNormalized(p.Id), other.GetNormalized(p.Id)));
        Assert.Equal(effect.GetState(), other.GetState());
        other.Start(NativePlugins.SampleRateHz, 256, ProcessMode.Realtime);
        Assert.Equal(expected, Playing.Play(other, input, 256));
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void AStateThatArrivesAfterTheStartIsInForceFromTheFirstFrame(string name)
    {
        // Some hosts activate first and load the state afterwards.
        using var effect = plugins.Start(name, 256, Colourful(name));
        var input = Playing.Noise(effect.InputChannels, 3000, 49);
        var expected = Playing.Play(effect, input, 256);
        using var other = plugins.Start(name, 256);
        other.SetState(effect.GetState());
        Assert.Equal(expected, Playing.Play(other, input, 256));
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void NothingIsAllocatedOnTheAudioThreadFromTheFirstCallOn(string name)
    {
        var before = plugins.Guard();
        using var effect = plugins.Start(name, 256);
        var random = new Random(50);
        for (var block = 0; block < 200; block++)
        {
            foreach (var parameter in effect.Parameters.Where(p => !p.IsReadOnly))
            {
                if (random.Next(20) == 0)
                    effect.SetNormalized(parameter.Id, random.NextDouble());
                if (random.Next(20) == 0)
                    effect.AddPoint(parameter.Id, random.Next(257), random.NextDouble());
            }
            for (var channel = 0; channel < effect.InputChannels; channel++)
                foreach (ref var sample in effect.Input<float>(channel))
                    sample = random.NextSingle() - 0.5f;
            if (block % 50 == 49)
                effect.SetState(effect.GetState());
            if (block % 40 == 39)
                SwitchOffAndOn(effect);
            effect.Process(random.Next(257));
        }
        var after = plugins.Guard();
        Assert.True(after.Calls - before.Calls >= 200, "the library was built without its guard");
        Assert.Equal(0, after.AllocatedBytes - before.AllocatedBytes);
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void StatesAndEditsMayArriveWhileAnotherThreadProcesses(string name)
    {
        using var other = plugins.Start(name, 128, Colourful(name));
        using var effect = plugins.Start(name, 128);
        byte[][] states = [other.GetState(), effect.GetState()];
        var input = Playing.Noise(effect.InputChannels, 128, 52);
        var (worst, done) = (0f, false);
        var audio = new Thread(() =>
        {
            while (!Volatile.Read(ref done))
                foreach (var channel in Playing.Play(effect, input, 128))
                    foreach (var sample in channel)
                        worst = Math.Max(worst, float.IsFinite(sample) ? Math.Abs(sample) : float.PositiveInfinity);
        });
        audio.Start();
        var random = new Random(53);
        for (var round = 0; round < 60; round++)
        {
            effect.SetState(states[round % 2]);
            foreach (var parameter in effect.Parameters.Where(p => !p.IsReadOnly))
                SetController(effect, parameter.Id, random.NextDouble());
            effect.GetState();
        }
        Volatile.Write(ref done, true);
        audio.Join();
        // Gains go up to +24 dB, trims to +12, and noise is within 0.5: a torn value would be far outside, or not a number.
        Assert.InRange(worst, 0f, 1000f);
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void RateAndBlockLengthMayChangeBetweenRuns(string name)
    {
        using var effect = plugins.Create(name);
        foreach (var (rate, block) in new[] { (44100.0, 64), (96000, 1024), (192000, 33), (48000, 2048), (8000, 16) })
        {
            effect.Start(rate, block);
            var input = Playing.Noise(effect.InputChannels, 5000, 51);
            var output = Playing.Play(effect, input, block);
            Assert.All(output.SelectMany(c => c), sample => Assert.True(float.IsFinite(sample)));
            // The latency follows the rate, but for the delay's filter, which is as many frames at every rate: 4 ms at 8 kHz.
            Assert.Equal(effect.LatencyFrames / rate, Latency48(name) / 48000.0, 5e-3);
        }
    }

    private static unsafe void SwitchOffAndOn(HostedEffect effect)
    {
        effect.Component->Table->SetActive(effect.Component, 0);
        effect.Component->Table->SetActive(effect.Component, 1);
    }

    // The controller alone: the queues of a block belong to the thread that processes.
    private static unsafe void SetController(HostedEffect effect, uint id, double normalized) =>
        effect.Controller->Table->SetParamNormalized(effect.Controller, id, normalized);

    private int Latency48(string name)
    {
        using var effect = plugins.Start(name, 64);
        return effect.LatencyFrames;
    }

    /// <summary>Settings away from the defaults, so that every stage has something to do.</summary>
    private static (string, string)[] Colourful(string name) => name.Contains("Array", StringComparison.Ordinal)
        ?
        [
            ("Array from", "By hand"), ("Trim 1", "1.5"), ("Trim 3", "-2.25"), ("Polarity 2", "Inverted"), ("Radius", "20"), ("Pattern", "0.6"),
            ("Capsule order", "FRD FLU BRU BLD"), ("Turn: yaw", "30"), ("Turn: pitch", "-10"), ("Format", "FuMa"), ("Output gain", "-3"),
        ]
        : name.Contains("Listen", StringComparison.Ordinal)
            ? [("Listener: yaw", "35"), ("Listener: pitch", "-20"), ("Listener: roll", "5"), ("Gain", "-2.5")]
        : [("Delay from", "By hand"), ("Delay by hand", "3.217"), ("Later by", "1.5"), ("Polarity", "Inverted"), ("Gain", "-2.5")];
}
