using CaptureProc.Dsp.Binaural;

namespace CaptureProc.Dsp.Tests.Binaural;

/// <summary>The decoder that comes with the library, at other rates than its own and as bytes.</summary>
public sealed class BinauralDecoderTests
{
    [Theory]
    // -60 dB of a flat ear: interpolation would put that much before the first tap, where it is cut off. At 32 kHz the band ends
    // lower, which rings longer.
    [InlineData(32000, 14000, 4e-3)]
    [InlineData(44100, 19900, 1e-6)]
    [InlineData(48000, 19900, 1e-3)]
    [InlineData(88200, 19900, 1e-3)]
    [InlineData(96000, 19900, 1e-3)]
    [InlineData(192000, 19900, 1e-3)]
    public void FilterHasTheSameResponseAtEveryRate(double sampleRateHz, double upToHz, double tolerance)
    {
        var decoder = DefaultHead.Decoder;
        for (var order = 1; order <= 3; order++)
        {
            var (measured, resampled) = (decoder.Measured(order), decoder.Filter(order, sampleRateHz));
            for (var frequencyHz = 20.0; frequencyHz < upToHz; frequencyHz *= 1.7)
            {
                for (var channel = 0; channel < measured.Inputs; channel++)
                {
                    var expected = DecodedSource.Gain(measured, decoder.SampleRateHz, 1, channel, frequencyHz);
                    var actual = DecodedSource.Gain(resampled, sampleRateHz, 1, channel, frequencyHz);
                    Assert.InRange((expected - actual).Magnitude, 0, tolerance);
                }
            }
        }
    }

    [Theory]
    [InlineData(44100)]
    [InlineData(48000)]
    [InlineData(96000)]
    [InlineData(192000)]
    public void LatencyIsOneMillisecondAtEveryRateAndOrder(double sampleRateHz)
    {
        for (var order = 1; order <= 3; order++)
        {
            var filter = DefaultHead.Decoder.Filter(order, sampleRateHz);
            Assert.Equal((int)Math.Ceiling(sampleRateHz / 1000), filter.LatencyFrames);
            Assert.Equal(filter.LatencyFrames, BinauralDecoder.LatencyFrames(sampleRateHz));
        }
    }

    [Fact]
    public void DecoderReadsBackFromItsBytes()
    {
        var decoder = DefaultHead.Decoder;
        var copy = BinauralDecoderFormat.Read(new MemoryStream(Bytes(decoder)));
        Assert.Equal(decoder.Name, copy.Name);
        Assert.Equal(decoder.Notice, copy.Notice);
        Assert.Equal(decoder.SampleRateHz, copy.SampleRateHz);
        for (var order = 1; order <= 3; order++)
            for (var ear = 0; ear < 2; ear++)
                for (var channel = 0; channel < decoder.Measured(order).Inputs; channel++)
                    Assert.True(decoder.Measured(order).Taps(ear, channel).SequenceEqual(copy.Measured(order).Taps(ear, channel)));
    }

    [Fact]
    public void DamagedBytesAreRefusedAndNeverCrash()
    {
        var bytes = Bytes(DefaultHead.Decoder);
        for (var length = 0; length < bytes.Length; length += length < 1500 ? 1 : 997)
            Assert.Throws<InvalidDataException>(() => BinauralDecoderFormat.Read(new MemoryStream(bytes, 0, length)));

        var random = new Random(1);
        for (var trial = 0; trial < 2000; trial++)
        {
            var damaged = (byte[])bytes.Clone();
            damaged[random.Next(1300)] ^= (byte)(1 << random.Next(8));
            try
            {
                BinauralDecoderFormat.Read(new MemoryStream(damaged));
            }
            catch (InvalidDataException)
            {
                // A changed letter in a text or a bit in a tap may pass; anything else ends here.
            }
        }
    }

    [Fact]
    public void DefaultHeadIsCalledByWhatItIsAndItsNoticeNamesThoseWhoMeasuredIt()
    {
        Assert.Equal("measured mannequin", DefaultHead.Decoder.Name);
        Assert.Contains("Gardner", DefaultHead.Decoder.Notice, StringComparison.Ordinal);
        Assert.Contains("provided the authors are cited", DefaultHead.Decoder.Notice.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    private static byte[] Bytes(BinauralDecoder decoder)
    {
        var stream = new MemoryStream();
        BinauralDecoderFormat.Write(decoder, stream);
        return stream.ToArray();
    }
}
