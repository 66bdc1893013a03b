using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session.Published;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>What the listen plug-ins make of a field.</summary>
[Collection(NativePlugins.Collection)]
public sealed class ListenSoundTests(NativePlugins plugins)
{
    private const int Frames = 3000;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void BinauralIsTheDecoderOfTheCommandLine(int order)
    {
        using var effect = plugins.Start($"CaptureProc Listen {order}", 256);
        var field = Field(order, new Direction(50, 10), seed: order);
        var filter = DefaultHead.Decoder.Filter(order, NativePlugins.SampleRateHz);
        var expected = new[] { new float[Frames], new float[Frames] };
        new DirectMatrixConvolver(new DirectFilter(filter), Frames).Process(field, expected);
        Assert.Equal(filter.LatencyFrames, effect.LatencyFrames);
        Assert.InRange(Playing.DifferenceDb(Playing.Play(effect, field, 256), expected), double.NegativeInfinity, -120);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void TurnOfTheListenerEqualsMotionOfTheSource(int order)
    {
        using var turned = plugins.Start($"CaptureProc Listen {order}", 256, ("Listener: yaw", "90"));
        using var straight = plugins.Start($"CaptureProc Listen {order}", 256);
        var a = Playing.Play(turned, Field(order, new Direction(0, 0), seed: 7), 256);
        var b = Playing.Play(straight, Field(order, new Direction(-90, 0), seed: 7), 256);
        Assert.InRange(Playing.DifferenceDb(a, b), double.NegativeInfinity, -120);
    }

    [Fact]
    public void PairHearsWhatItsMicrophonesWouldAtTheSameLatency()
    {
        using var effect = plugins.Start("CaptureProc Listen 2", 256,
            ("Listen as", "Pair"), ("Pair: angle", "110"), ("Pair: pattern", "0.5"), ("Pair: azimuth", "10"), ("Gain", "-3"));
        var field = Field(2, new Direction(20, 0), seed: 8);
        var heard = Playing.Play(effect, field, 256);
        for (var ear = 0; ear < 2; ear++)
        {
            // s(γ) = α + (1−α)·cos γ, axes at 65 and −45 degrees.
            var gain = (0.5 + 0.5 * Math.Cos((20 - (ear == 0 ? 65 : -45)) * Math.PI / 180)) * Math.Pow(10, -3.0 / 20);
            for (var n = effect.LatencyFrames; n < Frames; n++)
                Assert.Equal(gain * field[0][n - effect.LatencyFrames], heard[ear][n], 1e-5);
        }
    }

    [Fact]
    public void CapsulesAreChannelsOfTheArrayWhateverTheTurn()
    {
        using var effect = plugins.Start("CaptureProc Listen 1", 256,
            ("Listen as", "Capsules"), ("Left capsule", "Channel 3"), ("Right capsule", "Channel 1"), ("Listener: yaw", "77"));
        var capsules = Playing.Noise(4, Frames, 9);
        var heard = Playing.Play(effect, capsules, 256);
        Assert.Equal(capsules[2][..(Frames - effect.LatencyFrames)], heard[0][effect.LatencyFrames..]);
        Assert.Equal(capsules[0][..(Frames - effect.LatencyFrames)], heard[1][effect.LatencyFrames..]);
    }

    [Fact]
    public void ATurningHeadMovesWithoutSteps()
    {
        using var effect = plugins.Start("CaptureProc Listen 1", 256, ("Listen as", "Pair"), ("Pair: pattern", "0"));
        var yaw = NativePlugins.Parameter(effect, "Listener: yaw");
        var last = float.NaN;
        for (var block = 0; block < 40; block++)
        {
            // A steady plane wave from the front, heard by figure-eights: cos(yaw ± 45°).
            effect.Input<float>(0).Fill(1);
            effect.Input<float>(3).Fill(1);
            effect.AddPoint(yaw.Id, 255, 0.5 + 0.4 * (block + 1) / 40);
            effect.Process(256);
            // 144 degrees in 10240 frames; the low-pass that follows the line may hurry to it by a few times that, never step.
            foreach (var sample in effect.Output<float>(0)[..256])
            {
                if (block > 1)
                    Assert.InRange(Math.Abs(sample - last), 0, 0.002f);
                last = sample;
            }
        }
        Assert.Equal(Math.Cos((0.4 * 360 + 45) * Math.PI / 180), last, 0.15);
    }

    [Fact]
    public void LiveMonitoringStaysUnderThreeMilliseconds()
    {
        using var array = plugins.Start("CaptureProc Array Live", 32);
        using var listen = plugins.Start("CaptureProc Listen 1", 32);
        Assert.InRange((array.LatencyFrames + listen.LatencyFrames) / NativePlugins.SampleRateHz, 0, 0.003);
    }

    [Fact]
    public void APublishedHeadIsOfferedHeardAndKeptInTheProject()
    {
        var path = PublishedHeads.Publish("Half as loud", HalfAsLoud, plugins.Published);
        var field = Field(1, new Direction(70, 0), seed: 10);
        byte[] project;
        float[][] usual, heard;
        using (var plain = plugins.Start("CaptureProc Listen 1", 256))
            usual = Playing.Play(plain, field, 256);
        using (var effect = plugins.Create("CaptureProc Listen 1"))
        {
            Choose(effect, "Half as loud");
            effect.Start(NativePlugins.SampleRateHz, 256);
            heard = Playing.Play(effect, field, 256);
            Assert.Equal("In use", NativePlugins.Text(effect, "Head status"));
            project = effect.GetState();
        }
        for (var n = 0; n < Frames; n++)
            Assert.Equal(usual[0][n] / 2, heard[0][n], 1e-6);

        // Another machine: the file is not there, the project is.
        File.Delete(path);
        using var elsewhere = plugins.Create("CaptureProc Listen 1");
        elsewhere.SetState(project);
        elsewhere.Start(NativePlugins.SampleRateHz, 256);
        Assert.Equal(heard, Playing.Play(elsewhere, field, 256));
        Assert.Equal("Kept from the project", NativePlugins.Text(elsewhere, "Head status"));
        Assert.Equal("Half as loud", NativePlugins.Text(elsewhere, "Head"));
    }

    private static void Choose(HostedEffect effect, string head)
    {
        // The folder is read beside the host's calls: a head that was just put there is offered a little later.
        for (var round = 0; round < 400; round++, Thread.Sleep(10))
        {
            var parameter = NativePlugins.Parameter(effect, "Head");
            for (var slot = 0; slot <= parameter.StepCount; slot++)
            {
                var value = (double)slot / parameter.StepCount;
                if (effect.TextOf(parameter.Id, value) != head)
                    continue;
                effect.SetNormalized(parameter.Id, value);
                return;
            }
        }
        Assert.Fail($"the head '{head}' is not offered");
    }

    // The usual decoder with every tap halved: the taps are the last bytes of its file.
    private static void HalfAsLoud(Stream stream)
    {
        using var memory = new MemoryStream();
        BinauralDecoderFormat.Write(DefaultHead.Decoder, memory);
        var bytes = memory.ToArray();
        for (var at = bytes.Length - (4 + 9 + 16) * 2 * DefaultHead.Decoder.Measured(1).TapCount * sizeof(float); at < bytes.Length; at += sizeof(float))
            BitConverter.TryWriteBytes(bytes.AsSpan(at), BitConverter.ToSingle(bytes, at) / 2);
        stream.Write(bytes);
    }

    private static float[][] Field(int order, Direction source, int seed)
    {
        var harmonics = new double[(order + 1) * (order + 1)];
        SphericalHarmonics.Evaluate(source, harmonics);
        var noise = Playing.Noise(1, Frames, seed)[0];
        return [.. harmonics.Select(gain => noise.Select(x => (float)(gain * x)).ToArray())];
    }
}
