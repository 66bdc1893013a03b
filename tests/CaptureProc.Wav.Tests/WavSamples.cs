using System.Buffers.Binary;
using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Wav.Tests;

/// <summary>Signals to write and files made byte by byte.</summary>
internal static class WavSamples
{
    public static float[][] Noise(int channels, int frames, int seed, double peak = 0.9)
    {
        var random = new Random(seed);
        var planar = new float[channels][];
        for (var c = 0; c < channels; c++)
            planar[c] = [.. Enumerable.Range(0, frames).Select(_ => (float)(peak * (2 * random.NextDouble() - 1)))];
        return planar;
    }

    public static float[][] ReadAll(WavInput input)
    {
        var planar = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[input.FrameCount]).ToArray();
        Assert.Equal(input.FrameCount, input.Read(planar, (int)input.FrameCount));
        return planar;
    }

    public static string Write(string path, float[][] planar, WavOutputFormat format)
    {
        using var output = WavOutput.Create(path, format, replace: false);
        output.Write(planar, 0, planar[0].Length);
        output.Complete();
        return path;
    }

    /// <summary>A 48 kHz, 16-bit file from raw chunks; each is (id, contents, claimed length or −1 for the true one).</summary>
    public static byte[] Riff(string form, params (string Id, byte[] Contents, long Claimed)[] chunks)
    {
        using var stream = new MemoryStream();
        stream.Write(Encoding.Latin1.GetBytes(form + "\0\0\0\0WAVE"));
        foreach (var (id, contents, claimed) in chunks)
        {
            stream.Write(Encoding.Latin1.GetBytes(id));
            stream.Write(BitConverter.GetBytes((uint)(claimed < 0 ? contents.Length : claimed)));
            stream.Write(contents);
            if (contents.Length % 2 == 1)
                stream.WriteByte(0);
        }
        return stream.ToArray();
    }

    public static byte[] Fmt(int tag = 1, int channels = 1, int rate = 48000, int bits = 16)
    {
        var chunk = new byte[16];
        BinaryPrimitives.WriteUInt16LittleEndian(chunk, (ushort)tag);
        BinaryPrimitives.WriteUInt16LittleEndian(chunk.AsSpan(2), (ushort)channels);
        BinaryPrimitives.WriteInt32LittleEndian(chunk.AsSpan(4), rate);
        BinaryPrimitives.WriteInt32LittleEndian(chunk.AsSpan(8), rate * channels * bits / 8);
        BinaryPrimitives.WriteUInt16LittleEndian(chunk.AsSpan(12), (ushort)(channels * bits / 8));
        BinaryPrimitives.WriteUInt16LittleEndian(chunk.AsSpan(14), (ushort)bits);
        return chunk;
    }

    public static UnusableInputException Refusal(Action action)
    {
        var refusal = Assert.Throws<UnusableInputException>(action);
        Assert.DoesNotContain('\n', refusal.Message);
        return refusal;
    }
}
