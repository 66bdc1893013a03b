using CaptureProc.Rendering.Delivery;
using CaptureProc.Rendering.Delivery.Mp4;

namespace CaptureProc.Rendering.Tests.Delivery;

public sealed class PictureDeliveryTests : IDisposable
{
    private readonly DeliveryDesk desk = new();

    public void Dispose() => desk.Dispose();

    // Spatial Audio RFC (draft): the fields of a first-order box, written out by hand.
    [Fact]
    public void BoxOfAFirstOrderFieldIsThatOfTheRfc() => Assert.Equal(
        "00000024" + "53413344" + "00" + "00" + "00000001" + "00" + "00" + "00000004" + "00000000" + "00000001" + "00000002" + "00000003",
        Convert.ToHexString(SpatialAudioBox.ForField(1)));

    [Theory]
    [InlineData(DeliveryContainer.Mp4, "out.mp4", "opus", 1)]
    [InlineData(DeliveryContainer.Mp4, "out.mp4", "opus", 3)]
    [InlineData(DeliveryContainer.Mov, "out.mov", "pcm_s24le", 1)]
    [InlineData(DeliveryContainer.Mov, "out.mov", "pcm_s24le", 2)]
    public void PlayerSeesPictureAndField(DeliveryContainer container, string name, string codec, int order)
    {
        // Half a second of test picture at 25 frames a second.
        DeliveryDesk.Run("ffmpeg", "-v", "error", "-f", "lavfi", "-i", "testsrc=duration=0.52:size=64x64:rate=25", "-c:v", "mpeg4", desk.At("film.mp4"));
        var (mix, output) = (desk.WriteTones("mix.wav", order), desk.At(name));
        FieldDelivery.Run(DeliveryDesk.Plan(mix, (container, output)) with { PicturePath = desk.At("film.mp4") });

        // ffmpeg's own reader of the box turns it into this layout; without the box MOV reads "quad" or "unknown".
        var probe = DeliveryDesk.Probe(output, "stream=codec_name,channels,channel_layout,nb_frames:format_tags=title");
        Assert.Contains($"channel_layout=ambisonic {order}", probe, StringComparison.Ordinal);
        Assert.Contains($"codec_name={codec}", probe, StringComparison.Ordinal);
        Assert.Contains("nb_frames=13", probe, StringComparison.Ordinal);
        Assert.Contains("TAG:title=Two lanterns", probe, StringComparison.Ordinal);

        var channels = (order + 1) * (order + 1);
        var decoded = DeliveryDesk.Decode(output, channels);
        for (var c = 0; c < channels; c++)
            Assert.InRange(20 * Math.Log10(DeliveryDesk.Amplitude(decoded[c], DeliveryDesk.ToneHz(c)) / DeliveryDesk.ToneAmplitude(c)), -0.1, 0.1);
        Assert.Equal(new[] { "film.mp4", "mix.wav", name }.Order(), desk.Listing);
    }

    [Fact]
    public void MovHoldsTheSamplesOfTheWavFile()
    {
        FieldDelivery.Run(DeliveryDesk.Plan(desk.WriteMix("mix.wav", seconds: 1), (DeliveryContainer.AmbiX, desk.At("a.wav")), (DeliveryContainer.Mov, desk.At("a.mov"))));
        var (wav, mov) = (DeliveryDesk.Read(desk.At("a.wav")), DeliveryDesk.Decode(desk.At("a.mov"), 4));
        for (var c = 0; c < 4; c++)
            Assert.Equal(wav[c], mov[c]);
    }

    [Fact]
    public void BoxGrowsEveryBoxAroundIt()
    {
        FieldDelivery.Run(DeliveryDesk.Plan(desk.WriteMix("mix.wav", seconds: 1), (DeliveryContainer.Mov, desk.At("a.mov"))));
        var bytes = File.ReadAllBytes(desk.At("a.mov"));
        var marked = bytes.AsSpan().IndexOf("SA3D"u8);
        Assert.True(marked > 0);
        // Walking the boxes from outside must meet the end of every one exactly, with the new box the last in its sample entry.
        var end = bytes.Length;
        var at = 0;
        foreach (var name in new[] { "moov", "trak", "mdia", "minf", "stbl", "stsd" })
        {
            at = Find(bytes, at, end, name);
            end = at + Size(bytes, at);
            at += 8;
        }
        var entry = at + 8;
        Assert.Equal(end, entry + Size(bytes, entry));
        Assert.Equal(end, marked - 4 + Size(bytes, marked - 4));
    }

    private static int Find(byte[] bytes, int at, int end, string name)
    {
        for (; at < end; at += Size(bytes, at))
            if (System.Text.Encoding.Latin1.GetString(bytes, at + 4, 4) == name)
                return at;
        throw new Xunit.Sdk.XunitException($"no {name}");
    }

    private static int Size(byte[] bytes, int at) => System.Buffers.Binary.BinaryPrimitives.ReadInt32BigEndian(bytes.AsSpan(at));
}
