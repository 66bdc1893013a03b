using System.Text;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Rendering.Delivery;
using CaptureProc.Session;
using CaptureProc.Wav;
using CaptureProc.Wav.Metadata;

namespace CaptureProc.Rendering.Tests.Delivery;

public sealed class FieldDeliveryTests : IDisposable
{
    // The default pair by its definition: p·W + (1−p)·(cos 45°·X ± sin 45°·Y), p = 0.5; ACN order W Y Z X.
    private const string PairByFfmpeg = "pan=stereo|c0=0.5*c0+0.353553391*c1+0.353553391*c3|c1=0.5*c0-0.353553391*c1+0.353553391*c3";

    private readonly DeliveryDesk desk = new();

    public void Dispose() => desk.Dispose();

    [Fact]
    public void WrittenFileHasTheTargetLoudnessByFfmpeg()
    {
        var output = desk.At("out.wav");
        var result = FieldDelivery.Run(DeliveryDesk.Plan(desk.WriteMix("mix.wav"), (DeliveryContainer.AmbiX, output)) with { TargetLufs = -23 });

        Assert.False(result.Gain.IsHeldByCeiling);
        Assert.Equal(-23, result.After.Rendering.IntegratedLufs, 0.01);
        var (lufs, dbtp) = DeliveryDesk.Ebur128(output, PairByFfmpeg);
        Assert.Equal(-23, lufs, 0.06);
        Assert.Equal(result.After.Rendering.TruePeakDbtp, dbtp, 0.15);
        var (lufsOfW, _) = DeliveryDesk.Ebur128(output, "pan=mono|c0=c0");
        Assert.Equal(result.After.W.IntegratedLufs, lufsOfW, 0.06);
    }

    [Fact]
    public void CeilingHoldsTheGainAndNothingIsLimited()
    {
        var mix = desk.WriteMix("mix.wav");
        var result = FieldDelivery.Run(DeliveryDesk.Plan(mix, (DeliveryContainer.AmbiX, desk.At("out.wav"))) with
        {
            TargetLufs = -5, SampleFormat = SampleFormat.Float32,
        });

        Assert.True(result.Gain.IsHeldByCeiling);
        Assert.True(result.After.Rendering.IntegratedLufs < -5.5);
        Assert.Equal(-1, result.After.HighestTruePeakDbtp, 0.001);
        var gain = (float)Math.Pow(10, result.Gain.GainDb / 20);
        var (before, after) = (DeliveryDesk.Read(mix), DeliveryDesk.Read(desk.At("out.wav")));
        for (var c = 0; c < before.Length; c++)
            for (var i = 0; i < before[c].Length; i++)
                Assert.Equal(before[c][i] * gain, after[c][i]);
    }

    [Fact]
    public void PairMeetsItsDefinitionForASourceAhead()
    {
        // Full-scale 997 Hz from straight ahead: each cardioid, 45° off its axis, hears 0.5 + 0.5·cos 45° of it; two channels add 3.01.
        var tone = new float[3 * DeliveryDesk.RateHz];
        for (var i = 0; i < tone.Length; i++)
            tone[i] = (float)(0.5 * Math.Sin(2 * Math.PI * 997 * i / DeliveryDesk.RateHz));
        var mix = desk.Write("mix.wav", [tone, new float[tone.Length], new float[tone.Length], tone], SampleFormat.Float32);
        var result = FieldDelivery.Run(DeliveryDesk.Plan(mix, (DeliveryContainer.AmbiX, desk.At("out.wav"))));

        var heardDb = 20 * Math.Log10(0.5 * (0.5 + 0.5 * Math.Cos(45 * Math.PI / 180)));
        Assert.Equal(heardDb, result.After.Rendering.IntegratedLufs, 0.02);
        Assert.Equal(heardDb, result.After.Rendering.TruePeakDbtp, 0.05);
        Assert.Equal(-3.01 - 6.02, result.After.W.IntegratedLufs, 0.02);
        Assert.Contains("90°", result.After.RenderingName, StringComparison.Ordinal);
    }

    [Fact]
    public void HeadphonesAreMeasuredAsListenMakesThem()
    {
        var mix = desk.WriteMix("mix.wav");
        var rendering = StatedRendering.Binaural(1, DeliveryDesk.RateHz, DefaultHead.Decoder);
        var result = FieldDelivery.Run(DeliveryDesk.Plan(mix, (DeliveryContainer.AmbiX, desk.At("out.wav"))) with { Rendering = rendering, SampleFormat = SampleFormat.Float32 });

        // The two ears written to a file by direct convolution, a sum for every sample, and measured by ffmpeg.
        var field = DeliveryDesk.Read(mix);
        var ears = new float[2][];
        for (var ear = 0; ear < 2; ear++)
        {
            ears[ear] = new float[field[0].Length];
            for (var channel = 0; channel < 4; channel++)
                for (var (k, taps) = (0, rendering.Filter.Taps(ear, channel).ToArray()); k < taps.Length; k++)
                    for (var n = k; n < ears[ear].Length; n++)
                        ears[ear][n] += taps[k] * field[channel][n - k];
        }
        var (lufs, dbtp) = DeliveryDesk.Ebur128(desk.Write("ears.wav", ears, SampleFormat.Float32), "anull");
        Assert.Equal(lufs, result.After.Rendering.IntegratedLufs, 0.06);
        Assert.Equal(dbtp, result.After.Rendering.TruePeakDbtp, 0.15);
        Assert.StartsWith("binaural, head ", result.After.RenderingName, StringComparison.Ordinal);
    }

    // Factors and order: table of the EBU ADM Renderer; order of FuMa channels, common practice (from memory).
    [Fact]
    public void FuMaFileHasItsOrderAndScaleAndComesBackAsItWas()
    {
        var mix = desk.WriteMix("mix.wav", order: 2);
        var plan = DeliveryDesk.Plan(mix, (DeliveryContainer.FuMa, desk.At("fuma.wav"))) with { SampleFormat = SampleFormat.Float32 };
        var first = FieldDelivery.Run(plan);

        var (ambix, fuma) = (DeliveryDesk.Read(mix), DeliveryDesk.Read(desk.At("fuma.wav")));
        int[] acnOf = [0, 3, 1, 2, 6, 7, 5, 8, 4];
        double[] factor = [Math.Sqrt(0.5), 1, 1, 1, 1, 2 / Math.Sqrt(3), 2 / Math.Sqrt(3), 2 / Math.Sqrt(3), 2 / Math.Sqrt(3)];
        for (var place = 0; place < 9; place++)
            for (var i = 0; i < 1000; i++)
                Assert.Equal(factor[place] * ambix[acnOf[place]][i], fuma[place][i], 1e-7);

        var back = FieldDelivery.Run(DeliveryDesk.Plan(desk.At("fuma.wav"), (DeliveryContainer.AmbiX, desk.At("back.wav"))) with
        {
            MixFormat = FieldFormat.FuMa, SampleFormat = SampleFormat.Float32,
        });
        Assert.Equal(first.After.Rendering.IntegratedLufs, back.After.Rendering.IntegratedLufs, 0.0001);
        var again = DeliveryDesk.Read(desk.At("back.wav"));
        for (var c = 0; c < 9; c++)
            for (var i = 0; i < 1000; i++)
                Assert.Equal(ambix[c][i], again[c][i], 1e-7);
    }

    [Fact]
    public void MetadataTravelAlongAndChannelsGetTheirNames()
    {
        var recorded = BroadcastExtension.Begin("Second evening", new DateTimeOffset(2026, 5, 3, 20, 0, 0, TimeSpan.Zero));
        using (var bare = WavInput.Open(desk.WriteMix("bare.wav")))
            Assert.Null(bare.Files[0].BroadcastExtension);
        var mix = desk.Write("mix.wav", DeliveryDesk.Read(desk.At("bare.wav")), SampleFormat.Pcm24,
            new WavOutputFormat(DeliveryDesk.RateHz, 4, SampleFormat.Pcm24) { BroadcastExtension = recorded, ChannelNames = ["one", "two", "three", "four"] });
        FieldDelivery.Run(DeliveryDesk.Plan(mix, (DeliveryContainer.AmbiX, desk.At("ambix.wav")), (DeliveryContainer.FuMa, desk.At("fuma.wav")), (DeliveryContainer.Bw64, desk.At("bw64.wav"))));

        using var ambix = WavInput.Open(desk.At("ambix.wav"));
        Assert.Equal(["ACN0", "ACN1", "ACN2", "ACN3"], ambix.ChannelNames);
        Assert.Contains("<FUNCTION>ACN3-FOA</FUNCTION>", Encoding.UTF8.GetString(ambix.Files[0].IXml!), StringComparison.Ordinal);
        using var fuma = WavInput.Open(desk.At("fuma.wav"));
        Assert.Equal(["W", "X", "Y", "Z"], fuma.ChannelNames);
        var tags = DeliveryDesk.Probe(desk.At("bw64.wav"), "format_tags");
        Assert.Contains("TAG:comment=Second evening", tags, StringComparison.Ordinal);
        Assert.Contains("loudness of pair of coincident microphones; 90 degrees apart", tags, StringComparison.Ordinal);
    }

    [Fact]
    public void Bw64CarriesTheMeasuredLoudnessInItsModel()
    {
        var result = FieldDelivery.Run(DeliveryDesk.Plan(desk.WriteMix("mix.wav", order: 3), (DeliveryContainer.Bw64, desk.At("out.wav"))) with { TargetLufs = -20 });

        var text = Encoding.Latin1.GetString(File.ReadAllBytes(desk.At("out.wav")));
        Assert.StartsWith("BW64", text, StringComparison.Ordinal);
        Assert.Contains("AP_00040003", text, StringComparison.Ordinal);
        Assert.Contains("AT_00040010_01", text, StringComparison.Ordinal);
        Assert.Contains(FormattableString.Invariant($"<integratedLoudness>{result.After.Rendering.IntegratedLufs:0.00}</integratedLoudness>"), text, StringComparison.Ordinal);
        Assert.Contains("channels=16", DeliveryDesk.Probe(desk.At("out.wav"), "stream=channels"), StringComparison.Ordinal);
    }

    [Fact]
    public void FieldOfAnOddNumberOfChannelsIsRefused()
    {
        var mix = desk.Write("mix.wav", [new float[10], new float[10], new float[10]], SampleFormat.Pcm24);
        Assert.Contains("has 3 channels", Refusal(() => FieldDelivery.Run(DeliveryDesk.Plan(mix))).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void SilenceHasNoLoudnessToSet()
    {
        var silence = Enumerable.Range(0, 4).Select(_ => new float[DeliveryDesk.RateHz]).ToArray();
        var plan = DeliveryDesk.Plan(desk.Write("mix.wav", silence, SampleFormat.Pcm24), (DeliveryContainer.AmbiX, desk.At("out.wav")));
        Assert.Contains("silent", Refusal(() => FieldDelivery.Run(plan with { TargetLufs = -23 })).Message, StringComparison.Ordinal);
        Assert.Equal(["mix.wav"], desk.Listing);
        Assert.Equal(double.NegativeInfinity, FieldDelivery.Run(plan).After.Rendering.IntegratedLufs);
    }

    [Fact]
    public void MixBeyondFullScaleIsNotClippedInSilence()
    {
        var plan = DeliveryDesk.Plan(desk.WriteMix("mix.wav", level: 1.2), (DeliveryContainer.AmbiX, desk.At("out.wav")));
        Assert.Contains("would clip", Refusal(() => FieldDelivery.Run(plan)).Message, StringComparison.Ordinal);
        Assert.Equal(["mix.wav"], desk.Listing);
        Assert.True(FieldDelivery.Run(plan with { SampleFormat = SampleFormat.Float32 }).After.ChannelTruePeakDbtp > 0);
    }

    [Fact]
    public void ExistingFileIsKeptAndNothingElseIsLeftBehind()
    {
        var mix = desk.WriteMix("mix.wav", seconds: 1);
        File.WriteAllText(desk.At("out.opus"), "mine");
        var plan = DeliveryDesk.Plan(mix, (DeliveryContainer.AmbiX, desk.At("out.wav")), (DeliveryContainer.Opus, desk.At("out.opus")));
        Assert.Equal("output-exists", Refusal(() => FieldDelivery.Run(plan)).Code);
        Assert.Equal(["mix.wav", "out.opus"], desk.Listing);
        Assert.Equal("mine", File.ReadAllText(desk.At("out.opus")));
    }

    private static UnusableInputException Refusal(Action action) => Assert.Throws<UnusableInputException>(action);
}
