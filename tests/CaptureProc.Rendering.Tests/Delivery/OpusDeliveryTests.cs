using CaptureProc.Rendering.Delivery;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Tests.Delivery;

public sealed class OpusDeliveryTests : IDisposable
{
    private readonly DeliveryDesk desk = new();

    public void Dispose() => desk.Dispose();

    // Fields as in RFC 8486 and RFC 7845; the bytes are those of a file made with libopus 1.3.1.
    [Fact]
    public void HeadOfAFourChannelFieldIsReadFieldByField()
    {
        var head = OpusHead.Parse(Convert.FromHexString("4f707573486561640104380180bb0000000002040000010203"))!;
        Assert.Equal((4, 312, 2, 4, 0), (head.ChannelCount, head.PreSkipFrames, head.MappingFamily, head.StreamCount, head.CoupledCount));
        Assert.Equal([0, 1, 2, 3], head.Mapping);
        Assert.True(head.IsPlainField(4));
        Assert.False(head.IsPlainField(6));
    }

    [Theory]
    [InlineData("4f707573486561640102380180bb0000000000")]
    [InlineData("4f707573486561640104380180bb0000000001020200020301")]
    [InlineData("4f707573486561640104380180bb0000000003020200000000000000000000000000000000")]
    public void OtherFamiliesAreNoPlainField(string hex) =>
        Assert.False(OpusHead.Parse(Convert.FromHexString(hex))!.IsPlainField(4));

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void DecodedChannelsAreInOrderAndAtTheirLevels(int order)
    {
        var mix = desk.WriteTones("mix.wav", order);
        FieldDelivery.Run(DeliveryDesk.Plan(mix, (DeliveryContainer.Opus, desk.At("out.opus"))));

        var channels = (order + 1) * (order + 1);
        Assert.True(OpusHead.ReadOgg(desk.At("out.opus"))!.IsPlainField(channels));
        Assert.Contains($"channel_layout=ambisonic {order}", DeliveryDesk.Probe(desk.At("out.opus"), "stream=channel_layout"), StringComparison.Ordinal);
        var decoded = DeliveryDesk.Decode(desk.At("out.opus"), channels);
        for (var c = 0; c < channels; c++)
        {
            var level = DeliveryDesk.Amplitude(decoded[c], DeliveryDesk.ToneHz(c)) / DeliveryDesk.ToneAmplitude(c);
            Assert.InRange(20 * Math.Log10(level), -0.1, 0.1);
            for (var other = 0; other < channels; other++)
                if (other != c)
                    Assert.True(DeliveryDesk.Amplitude(decoded[c], DeliveryDesk.ToneHz(other)) < 0.01 * DeliveryDesk.ToneAmplitude(c));
        }
    }

    [Fact]
    public void EncoderThatFallsBackToALoudspeakerLayoutIsFoundOut()
    {
        var mix = desk.WriteTones("mix.wav", 1);
        DeliveryDesk.Run("ffmpeg", "-v", "error", "-i", mix, "-af", "channelmap=0|1|2|3:quad", "-c:a", "libopus", "-mapping_family", "1", "-f", "opus", desk.At("quad.opus"));
        var head = OpusHead.ReadOgg(desk.At("quad.opus"))!;
        Assert.Equal(1, head.MappingFamily);
        Assert.False(head.IsPlainField(4));
        Assert.Null(OpusHead.ReadOgg(mix));
    }

    [Fact]
    public void ProgramThatIsNotInstalledIsNotFound() => Assert.Null(ExternalProgram.Find("no-such-program-anywhere"));

    [Fact]
    public void ProgramThatFailsIsQuotedInOneLine()
    {
        var refusal = Assert.Throws<UnusableInputException>(() =>
            ExternalProgram.Find("ffmpeg")!.Run(["-v", "error", "-i", desk.At("not-there.wav"), desk.At("x.opus")], "Opus encoding"));
        Assert.StartsWith("Opus encoding: ffmpeg refused (", refusal.Message, StringComparison.Ordinal);
        Assert.DoesNotContain('\n', refusal.Message);
    }

    // opus-tools 0.2, the newest release, ends like this when it is asked for --channels; later sources of it know the option.
    [Fact]
    public void OpusencThatKnowsNoFieldsIsToldApartAndAWayOutIsGiven()
    {
        var refusal = Assert.Throws<UnusableInputException>(() => EncodeByOpusenc("echo \"opusenc: unrecognized option '--channels'\" >&2; exit 1"));
        Assert.StartsWith("Opus encoding: opusenc refused (opusenc: unrecognized option '--channels')", refusal.Message, StringComparison.Ordinal);
        Assert.EndsWith("install ffmpeg", refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void WhereOnlyOpusencIsInstalledItEncodesAndItsFileIsHeldToTheSameFamily()
    {
        // A stand-in that takes opusenc's words, the last two being the files, and writes what it was told to.
        const string Takes = "[ \"$1 $2 $3 $4 $5 $6\" = '--quiet --channels ambix --bitrate 256 --title' ] || exit 3; ";
        EncodeByOpusenc(Takes + "exec ffmpeg -nostdin -v error -y -ch_layout 'ambisonic 1' -i \"$8\" -c:a libopus -mapping_family 2 -f opus \"$9\"");
        Assert.True(OpusHead.ReadOgg(desk.At("out.opus"))!.IsPlainField(4));

        var refusal = Assert.Throws<UnusableInputException>(() =>
            EncodeByOpusenc(Takes + "exec ffmpeg -nostdin -v error -y -i \"$8\" -af 'channelmap=0|1|2|3:quad' -c:a libopus -mapping_family 1 -f opus \"$9\""));
        Assert.Contains("channel mapping family 1 instead of family 2", refusal.Message, StringComparison.Ordinal);
    }

    private void EncodeByOpusenc(string script)
    {
        var program = desk.At("opusenc");
        File.WriteAllText(program, $"#!/bin/sh\n{script}\n");
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(program, UnixFileMode.UserRead | UnixFileMode.UserExecute);
        if (!File.Exists(desk.At("mix.wav")))
            desk.WriteTones("mix.wav", 1);
        try
        {
            OpusFile.Encode(desk.At("mix.wav"), desk.At("out.opus"), 1, 256, "Two lanterns", name => name == "opusenc" ? ExternalProgram.At(program) : null);
        }
        finally
        {
            File.Delete(program);
        }
    }
}
