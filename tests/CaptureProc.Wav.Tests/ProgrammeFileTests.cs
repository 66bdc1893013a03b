using System.Buffers.Binary;
using System.Text;
using CaptureProc.Wav.Adm;
using CaptureProc.Wav.Metadata;

namespace CaptureProc.Wav.Tests;

/// <summary>The files that leave the house: BW64 with its metadata, and WAV that says it is a FuMa B-format.</summary>
public sealed class ProgrammeFileTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void Bw64FileHasTheHeadOfTheStandardAndReadsBackEverywhere()
    {
        var planar = WavSamples.Noise(4, 4801, seed: 5);
        var path = WavSamples.Write(folder.File("field.wav"), planar, new WavOutputFormat(48_000, 4, SampleFormat.Pcm24)
        {
            IsBw64 = true,
            Chunks = [new WavChunk("chna", ChannelAllocation.ForField(1)), new WavChunk("axml", new AdmDocument("Piece", 1, 48_000, 24).ToChunk())],
        });

        // ITU-R BS.2088: BW64, 0xFFFFFFFF, WAVE, ds64 first with riffSize and dataSize; then the data chunk's own length is 0xFFFFFFFF.
        var bytes = File.ReadAllBytes(path);
        Assert.Equal("BW64", Latin(bytes, 0));
        Assert.Equal(uint.MaxValue, BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(4)));
        Assert.Equal("WAVE", Latin(bytes, 8));
        Assert.Equal("ds64", Latin(bytes, 12));
        Assert.Equal(bytes.Length - 8, BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan(20)));
        Assert.Equal(4801 * 12, BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan(28)));
        var chunks = Chunks(bytes);
        Assert.Equal(ChannelAllocation.ForField(1), chunks["chna"]);
        Assert.Contains("AP_00040001", Encoding.UTF8.GetString(chunks["axml"]), StringComparison.Ordinal);

        using var input = WavInput.Open(path);
        var ours = WavSamples.ReadAll(input);
        var ffmpeg = Tool.ReadWithFfmpeg(path);
        for (var i = 0; i < planar[0].Length; i++)
            for (var c = 0; c < 4; c++)
            {
                Assert.Equal(planar[c][i], ours[c][i], 1.0 / (1 << 23));
                Assert.Equal(ours[c][i], ffmpeg[4 * i + c]);
            }
    }

    [Theory]
    [InlineData(SampleFormat.Pcm24, "010000002107D3118644C8C1CA000000")]
    [InlineData(SampleFormat.Float32, "030000002107D3118644C8C1CA000000")]
    public void BFormatFileCarriesTheSubFormatAndReadsBackInSoxAndFfmpeg(SampleFormat format, string guid)
    {
        var planar = WavSamples.Noise(4, 1000, seed: 6);
        var path = WavSamples.Write(folder.File("fuma.wav"), planar, new WavOutputFormat(48_000, 4, format) { IsBFormat = true });

        // libsndfile, wavlike.c: {0000000x-0721-11D3-8644-C8C1CA000000}, tag 0xFFFE, extension of 22 bytes, channel mask 0.
        var fmt = Chunks(File.ReadAllBytes(path))["fmt "];
        Assert.Equal(40, fmt.Length);
        Assert.Equal(0xFFFE, BinaryPrimitives.ReadUInt16LittleEndian(fmt));
        Assert.Equal(22, BinaryPrimitives.ReadUInt16LittleEndian(fmt.AsSpan(16)));
        Assert.Equal(0, BinaryPrimitives.ReadInt32LittleEndian(fmt.AsSpan(20)));
        Assert.Equal(guid, Convert.ToHexString(fmt.AsSpan(24, 16)));

        using var input = WavInput.Open(path);
        Assert.True(input.Files[0].IsBFormat);
        var (sox, ffmpeg) = (Tool.ReadWithSox(path), Tool.ReadWithFfmpeg(path));
        for (var i = 0; i < planar[0].Length; i++)
            for (var c = 0; c < 4; c++)
            {
                Assert.Equal(planar[c][i], sox[4 * i + c], 1.0 / (1 << 23));
                Assert.Equal(planar[c][i], ffmpeg[4 * i + c], 1.0 / (1 << 23));
            }
    }

    [Fact]
    public void PlainFileIsNoBFormat()
    {
        using var input = WavInput.Open(WavSamples.Write(folder.File("plain.wav"), WavSamples.Noise(4, 10, seed: 7), new WavOutputFormat(48_000, 4, SampleFormat.Pcm24)));
        Assert.False(input.Files[0].IsBFormat);
    }

    [Fact]
    public void LoudnessStandsInTheBroadcastExtensionAndTheRestIsKept()
    {
        var recorded = BroadcastExtension.Begin("Scene 4 take 2", new DateTimeOffset(2026, 5, 3, 10, 12, 0, TimeSpan.Zero));
        BinaryPrimitives.WriteInt64LittleEndian(recorded.AsSpan(338), 48_000L * 3600);
        var chunk = BroadcastExtension.WithLoudness(recorded, [-23.004, 8.126, -1.25, -18, double.NegativeInfinity], "A=PCM,F=48000,W=24,T=pair downmix");
        chunk = BroadcastExtension.WithLoudness(chunk, [-23.004, 8.126, -1.25, -18, double.NegativeInfinity], "A=PCM,T=second");

        // EBU Tech 3285: version 2 from offset 346; hundredths from 412; 0x7FFF = unused.
        Assert.Equal(2, BinaryPrimitives.ReadUInt16LittleEndian(chunk.AsSpan(346)));
        Assert.Equal([-2300, 813, -125, -1800, 0x7FFF], Enumerable.Range(0, 5).Select(i => BinaryPrimitives.ReadInt16LittleEndian(chunk.AsSpan(412 + 2 * i))));

        var path = WavSamples.Write(folder.File("bext.wav"), WavSamples.Noise(2, 4800, seed: 8), new WavOutputFormat(48_000, 2, SampleFormat.Pcm24) { BroadcastExtension = chunk });
        var tags = Encoding.UTF8.GetString(Tool.Run("ffprobe", "-v", "error", "-show_entries", "format_tags", "-of", "default=noprint_wrappers=1", path));
        Assert.Contains("TAG:comment=Scene 4 take 2", tags, StringComparison.Ordinal);
        Assert.Contains("TAG:date=2026-05-03", tags, StringComparison.Ordinal);
        Assert.Contains("TAG:time_reference=172800000", tags, StringComparison.Ordinal);
        Assert.Contains("A=PCM,F=48000,W=24,T=pair downmix\r\nA=PCM,T=second", tags, StringComparison.Ordinal);
    }

    private static Dictionary<string, byte[]> Chunks(byte[] file)
    {
        var chunks = new Dictionary<string, byte[]>();
        for (var at = 12; at + 8 <= file.Length && Latin(file, at) != "data";)
        {
            var size = BinaryPrimitives.ReadInt32LittleEndian(file.AsSpan(at + 4));
            chunks[Latin(file, at)] = file[(at + 8)..(at + 8 + size)];
            at += 8 + size + (size & 1);
        }
        return chunks;
    }

    private static string Latin(byte[] bytes, int at) => Encoding.Latin1.GetString(bytes, at, 4);
}
