using System.Text;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Dsp.Binaural;

/// <summary>A decoder as bytes: some tens of kilobytes that a plug-in can read, where the measured set takes a megabyte and HDF5.</summary>
/// <remarks>
/// Thread: [main]. Format, little-endian: the four letters CPBD; one byte for the version, 1; name and notice (each a length
/// as .NET's BinaryWriter writes it, and UTF-8); the rate in Hz as a double; latency in frames and taps as 32-bit integers; then for
/// the orders 1, 2, 3 the taps as floats, for each ear and channel. Nothing follows.
/// Errors: <see cref="InvalidDataException"/> with one sentence, for anything else.
/// </remarks>
public static class BinauralDecoderFormat
{
    private const byte Version = 1;
    private const int MaxTapCount = 65536;

    private static ReadOnlySpan<byte> Letters => "CPBD"u8;

    public static void Write(BinauralDecoder decoder, Stream stream)
    {
        using var writer = new BinaryWriter(stream, Encoding.UTF8, leaveOpen: true);
        writer.Write(Letters);
        writer.Write(Version);
        writer.Write(decoder.Name);
        writer.Write(decoder.Notice);
        writer.Write(decoder.SampleRateHz);
        writer.Write(decoder.Measured(1).LatencyFrames);
        writer.Write(decoder.Measured(1).TapCount);
        for (var order = 1; order <= SphericalHarmonics.MaxOrder; order++)
        {
            var filter = decoder.Measured(order);
            for (var ear = 0; ear < filter.Outputs; ear++)
                for (var channel = 0; channel < filter.Inputs; channel++)
                    foreach (var tap in filter.Taps(ear, channel))
                        writer.Write(tap);
        }
    }

    public static BinauralDecoder Read(Stream stream)
    {
        using var reader = new BinaryReader(stream, Encoding.UTF8, leaveOpen: true);
        try
        {
            if (!reader.ReadBytes(Letters.Length).AsSpan().SequenceEqual(Letters))
                throw new InvalidDataException("This is not a binaural decoder.");
            if (reader.ReadByte() is var version && version != Version)
                throw new InvalidDataException($"This binaural decoder has version {version}; known is {Version}.");
            return ReadBody(reader);
        }
        catch (EndOfStreamException cause)
        {
            throw new InvalidDataException("This binaural decoder is cut short.", cause);
        }
        catch (FormatException cause)
        {
            throw new InvalidDataException("This binaural decoder is damaged: a text in it has no sensible length.", cause);
        }
    }

    private static BinauralDecoder ReadBody(BinaryReader reader)
    {
        var (name, notice, sampleRateHz) = (reader.ReadString(), reader.ReadString(), reader.ReadDouble());
        var (latencyFrames, tapCount) = (reader.ReadInt32(), reader.ReadInt32());
        if (!(sampleRateHz is >= 8000 and <= 768000) || tapCount is < 1 or > MaxTapCount || latencyFrames < 0 || latencyFrames >= tapCount)
            throw new InvalidDataException($"This binaural decoder is damaged: {tapCount} taps, {latencyFrames} of latency at {sampleRateHz} Hz cannot be.");
        var filters = new MatrixFilter[SphericalHarmonics.MaxOrder];
        for (var order = 1; order <= filters.Length; order++)
        {
            var filter = filters[order - 1] = new MatrixFilter(HeadResponses.Ears, SphericalHarmonics.ChannelCount(order), tapCount, latencyFrames);
            for (var ear = 0; ear < filter.Outputs; ear++)
                for (var channel = 0; channel < filter.Inputs; channel++)
                    foreach (ref var tap in filter.Taps(ear, channel))
                        tap = reader.ReadSingle() is var value && float.IsFinite(value) ? value : throw new InvalidDataException("This binaural decoder is damaged: a tap is no number.");
        }
        return new BinauralDecoder(name, notice, sampleRateHz, filters);
    }
}
