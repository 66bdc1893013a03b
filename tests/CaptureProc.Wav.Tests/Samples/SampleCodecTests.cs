using CaptureProc.Wav.Samples;

namespace CaptureProc.Wav.Tests.Samples;

public class SampleCodecTests
{
    // 0, 1 and one off each vector width.
    public static TheoryData<SampleFormat, int> FormatsAndLengths
    {
        get
        {
            var data = new TheoryData<SampleFormat, int>();
            foreach (var format in Enum.GetValues<SampleFormat>().Where(f => f != SampleFormat.Float64))
                foreach (var length in (int[])[0, 1, 3, 4, 5, 6, 7, 8, 9, 15, 16, 17, 33])
                    data.Add(format, length);
            return data;
        }
    }

    [Theory]
    [MemberData(nameof(FormatsAndLengths))]
    public void EveryLengthDecodesAsTheDefinitionSays(SampleFormat format, int length)
    {
        var bytes = new byte[length * format.BytesPerSample()];
        new Random(length).NextBytes(bytes);
        var samples = new float[length];

        SampleDecoder.Decode(format, bytes, samples);

        for (var i = 0; i < length; i++)
        {
            var at = bytes.AsSpan(i * format.BytesPerSample());
            var expected = format switch
            {
                SampleFormat.Pcm16 => BitConverter.ToInt16(at) / 32768f,
                SampleFormat.Pcm24 => ((at[0] | (at[1] << 8) | (at[2] << 16)) << 8 >> 8) / 8388608f,
                SampleFormat.Pcm32 => BitConverter.ToInt32(at) / 2147483648f,
                _ => BitConverter.ToSingle(at),
            };
            Assert.Equal(expected, samples[i]);
        }
    }

    [Theory]
    [MemberData(nameof(FormatsAndLengths))]
    public void WhatIsEncodedDecodesToTheSame(SampleFormat format, int length)
    {
        var random = new Random(length);
        // Steps of 2^-14 are exact in every format.
        var samples = Enumerable.Range(0, length).Select(_ => (random.Next(32768) - 16384) / 16384f).Select(s => s == 1 ? 0 : s).ToArray();
        var bytes = new byte[length * format.BytesPerSample()];
        var back = new float[length];

        var encoder = new SampleEncoder();
        encoder.Encode(format, samples, bytes);
        Assert.Equal(0, encoder.ClippedSamples);
        SampleDecoder.Decode(format, bytes, back);

        Assert.Equal(samples, back);
    }

    [Theory]
    [InlineData(4, 0, 21)]
    [InlineData(9, 4, 64)]
    [InlineData(16, 12, 3)]
    [InlineData(7, 3, 1)]
    public void FourChannelsAmongOthersAreTheFourChannelsOneByOne(int channelCount, int first, int frames)
    {
        Assert.SkipUnless(FourChannels.IsSupported, "needs the instructions");
        var random = new Random(frames);
        var file = Enumerable.Range(0, channelCount * frames).Select(_ => random.NextSingle()).ToArray();
        var planar = Enumerable.Range(0, 4).Select(_ => new float[frames]).ToArray();
        ChannelQuartets.Take(file.AsSpan(first), channelCount, planar[0], planar[1], planar[2], planar[3]);
        for (var channel = 0; channel < 4; channel++)
            for (var n = 0; n < frames; n++)
                Assert.Equal(file[n * channelCount + first + channel], planar[channel][n]);
        var back = new float[file.Length];
        ChannelQuartets.Put(planar[0], planar[1], planar[2], planar[3], back.AsSpan(first), channelCount);
        for (var n = 0; n < file.Length; n++)
            Assert.Equal(n % channelCount >= first && n % channelCount < first + 4 ? file[n] : 0, back[n]);
    }

    [Fact]
    public void FourChannelsAtOnceAreTheFourChannelsOneByOne()
    {
        Assert.SkipUnless(FourChannels.IsSupported, "needs the instructions");
        for (var frames = 0; frames < 20; frames++)
        {
            var interleaved = WavSamples.Noise(1, 4 * frames, seed: frames)[0];
            var planar = Enumerable.Range(0, 4).Select(_ => new float[frames]).ToArray();
            var back = new float[4 * frames];

            FourChannels.Take(interleaved, planar[0], planar[1], planar[2], planar[3]);
            FourChannels.Put(planar[0], planar[1], planar[2], planar[3], back);

            for (var n = 0; n < 4 * frames; n++)
                Assert.Equal(interleaved[n], planar[n % 4][n / 4]);
            Assert.Equal(interleaved, back);
        }
    }

    [Fact]
    public void FirstUnusableSampleIsFoundAtEveryPlace()
    {
        for (var length = 1; length < 40; length++)
        {
            var samples = WavSamples.Noise(1, length, seed: length)[0];
            Assert.Equal(-1, FiniteSamples.FirstUnusable(samples));
            for (var at = 0; at < length; at++)
            {
                var broken = samples.ToArray();
                broken[at] = at % 2 == 0 ? float.NaN : float.NegativeInfinity;
                Assert.Equal(at, FiniteSamples.FirstUnusable(broken));
            }
        }
    }
}
