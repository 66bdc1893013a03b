using CaptureProc.Session;
using CaptureProc.Wav.Metadata;
using CaptureProc.Wav.Riff;
using CaptureProc.Wav.Samples;
using NAudio.Wave;

namespace CaptureProc.Wav;

/// <summary>A WAV file being written from planar float; RF64 when it passes 4 GB.</summary>
/// <remarks>
/// Thread: one writer. Memory: two blocks, whatever the length. The file is written beside its place and stands there
/// only after <see cref="Complete"/>; disposed without it, nothing remains. Room for the 64-bit sizes is kept from the start
/// (a JUNK chunk that becomes ds64), so the header is only patched at the end.
/// Errors: <see cref="UnusableInputException"/> for an output that exists, a folder that is not there, a full disk.
/// </remarks>
public sealed class WavOutput : IDisposable
{
    private const int FramesPerBlock = 4096;

    private readonly PendingFile file;
    private readonly WavOutputFormat format;
    private readonly WaveFileWriter writer;
    private readonly float[] interleaved;
    private readonly byte[] bytes;
    private readonly SampleEncoder encoder = new();

    private WavOutput(PendingFile file, WavOutputFormat format)
    {
        (this.file, this.format) = (file, format);
        interleaved = new float[FramesPerBlock * format.ChannelCount];
        bytes = new byte[interleaved.Length * format.SampleFormat.BytesPerSample()];
        writer = new WaveFileWriter(file.Stream, ContainerFormat(format),
            new WaveFileWriterOptions { EnableRf64 = true, Rf64PromotionThreshold = format.IsBw64 ? 0 : format.Rf64FromBytes });
        if ((format.BroadcastExtension ?? format.MetadataFrom?.BroadcastExtension) is { } bext)
            writer.AddChunk("bext", format.TimeReferenceFrames is { } time ? BroadcastTime.With(bext, time) : bext, ChunkPosition.BeforeData);
        if (format.ChannelNames.Count + format.ChannelFunctions.Count > 0 || format.MetadataFrom?.IXml is not null)
            writer.AddChunk("iXML", TrackList.Write(format.MetadataFrom?.IXml, Names(format), format.ChannelFunctions), ChunkPosition.BeforeData);
        foreach (var chunk in format.Chunks)
            writer.AddChunk(chunk.Id, chunk.Contents, ChunkPosition.BeforeData);
    }

    public string Path => file.Path;

    public int ChannelCount => format.ChannelCount;

    public long FramesWritten { get; private set; }

    /// <summary>Samples that were beyond full scale and have been held at it; always 0 in a float file.</summary>
    public long ClippedSamples => encoder.ClippedSamples;

    /// <summary>The farthest of the clipped samples, 1 is full scale; 0 where none was clipped.</summary>
    public double HighestPeak => encoder.HighestPeak;

    public static WavOutput Create(string path, WavOutputFormat format, bool replace)
    {
        ArgumentNullException.ThrowIfNull(format);
        if (format.SampleFormat == SampleFormat.Float64)
            throw new ArgumentException("64-bit floats are read only.", nameof(format));
        var file = PendingFile.Create(path, replace, bufferBytes: 0);
        try
        {
            WavOutput? output = null;
            file.Guard(_ => output = new WavOutput(file, format));
            return output!;
        }
        catch
        {
            file.Dispose();
            throw;
        }
    }

    /// <summary>Appends frames.</summary>
    /// <param name="planar">One array a channel.</param>
    /// <param name="firstFrame">Where in the arrays to begin.</param>
    /// <param name="frames">How many frames.</param>
    public void Write(float[][] planar, int firstFrame, int frames)
    {
        ArgumentNullException.ThrowIfNull(planar);
        if (planar.Length != format.ChannelCount)
            throw new ArgumentException($"{planar.Length} channels were given for a file of {format.ChannelCount}.", nameof(planar));
        for (var done = 0; done < frames;)
        {
            var block = Math.Min(frames - done, FramesPerBlock);
            Gather(planar, firstFrame + done, block);
            var sampleCount = block * planar.Length;
            var byteCount = sampleCount * format.SampleFormat.BytesPerSample();
            encoder.Encode(format.SampleFormat, interleaved.AsSpan(0, sampleCount), bytes.AsSpan(0, byteCount));
            file.Guard(_ => writer.Write(bytes.AsSpan(0, byteCount)));
            done += block;
        }
        FramesWritten += frames;
    }

    /// <summary>Finishes the header and moves the file to its place.</summary>
    public void Complete()
    {
        Finish();
        file.Complete();
    }

    /// <summary>The same for several files: they appear together, all of them or none.</summary>
    public static void CompleteAll(IReadOnlyList<WavOutput> outputs)
    {
        ArgumentNullException.ThrowIfNull(outputs);
        foreach (var output in outputs)
            output.Finish();
        PendingFile.CompleteAll([.. outputs.Select(o => o.file)]);
    }

    public void Dispose() => file.Dispose();

    private void Finish()
    {
        file.Guard(_ => writer.Dispose());
        if (format.IsBw64)
            file.Guard(NameBw64);
    }

    // RF64 and BW64 differ in their first four characters alone; the third number of ds64 counts samples in the one and means
    // nothing in the other (ITU-R BS.2088, as in the EBU's libbw64).
    private static void NameBw64(Stream stream)
    {
        stream.Position = 0;
        stream.Write("BW64"u8);
        stream.Position = stream.Length;
    }

    private void Gather(float[][] planar, int first, int frames)
    {
        if (FourChannels.IsSupported && planar is [var a, var b, var c, var d])
        {
            FourChannels.Put(a.AsSpan(first, frames), b.AsSpan(first, frames), c.AsSpan(first, frames), d.AsSpan(first, frames), interleaved);
            return;
        }
        var channel = 0;
        for (; FourChannels.IsSupported && channel + ChannelQuartets.Channels <= planar.Length; channel += ChannelQuartets.Channels)
        {
            ChannelQuartets.Put(planar[channel].AsSpan(first, frames), planar[channel + 1].AsSpan(first, frames), planar[channel + 2].AsSpan(first, frames),
                planar[channel + 3].AsSpan(first, frames), interleaved.AsSpan(channel), planar.Length);
        }
        for (; channel < planar.Length; channel++)
            Interleaving.Put(planar[channel].AsSpan(first, frames), planar.Length, channel, interleaved);
    }

    private static string?[] Names(WavOutputFormat format)
    {
        var names = new string?[format.ChannelCount];
        for (var c = 0; c < names.Length && c < format.ChannelNames.Count; c++)
            names[c] = format.ChannelNames[c];
        return names;
    }

    // Plain headers where every program reads them; beyond two channels or 16 bits the format asks for the extensible one,
    // and channel mask 0 says that the channels belong to no loudspeakers.
    private static WaveFormat ContainerFormat(WavOutputFormat format)
    {
        var bits = 8 * format.SampleFormat.BytesPerSample();
        if (format.IsBFormat)
            return new BFormatWaveFormat(format.SampleRateHz, bits, format.ChannelCount, format.SampleFormat == SampleFormat.Float32);
        if (format.SampleFormat == SampleFormat.Float32)
            return WaveFormat.CreateIeeeFloatWaveFormat(format.SampleRateHz, format.ChannelCount);
        return format.ChannelCount > 2 || bits > 16
            ? new WaveFormatExtensible(format.SampleRateHz, bits, format.ChannelCount, false, bits, format.ChannelMask)
            : new WaveFormat(format.SampleRateHz, bits, format.ChannelCount);
    }
}
