using CaptureProc.Session;
using CaptureProc.Wav.Metadata;
using CaptureProc.Wav.Riff;
using Microsoft.Win32.SafeHandles;

namespace CaptureProc.Wav;

/// <summary>One WAV file, open for reading: what its header says, and its bytes by frame.</summary>
/// <remarks>Errors: <see cref="UnusableInputException"/> for a file that is missing, no WAV, of a kind not read, or truncated.</remarks>
public sealed class WavFile : IDisposable
{
    // Metadata beyond this is no metadata: a damaged length must not make us fill the memory.
    private const int MaxMetadataBytes = 16 << 20;

    private readonly SafeFileHandle handle;
    private readonly WavFormat format;
    private readonly long dataOffset;

    private WavFile(string path, SafeFileHandle handle)
    {
        (Path, this.handle) = (path, handle);
        var fileBytes = RandomAccess.GetLength(handle);
        var chunks = RiffReader.ReadChunks(ReadExactly, fileBytes);
        format = WavFormat.Parse(Contents(chunks, "fmt ", fileBytes)
            ?? throw new InvalidDataException("is damaged: it has no 'fmt' chunk; repair it with the recorder that made it"));
        var data = chunks.Find(c => c.Id == "data");
        if (data.Id is null)
            throw new InvalidDataException("is truncated: it ends before its audio begins; copy it again from the recorder");
        if (data.Offset + data.DeclaredBytes > fileBytes)
            throw new InvalidDataException(Truncated(data, fileBytes));
        (dataOffset, FrameCount) = (data.Offset, data.DeclaredBytes / format.BytesPerFrame);
        if (FrameCount == 0)
            throw new InvalidDataException("holds no audio: its length is 0; record or copy it again");
        BroadcastExtension = Contents(chunks, "bext", fileBytes);
        IXml = Contents(chunks, "iXML", fileBytes);
        ChannelNames = TrackList.ReadNames(IXml, ChannelCount, out var isDamaged);
        HasDamagedMetadata = isDamaged;
    }

    public string Path { get; }

    public int SampleRateHz => format.SampleRateHz;

    public int ChannelCount => format.ChannelCount;

    public SampleFormat SampleFormat => format.SampleFormat;

    /// <summary>Whether the header says that the channels are a sound field in FuMa order and scale.</summary>
    public bool IsBFormat => format.IsBFormat;

    public int BytesPerFrame => format.BytesPerFrame;

    public long FrameCount { get; }

    /// <summary>The name of each channel from the iXML track list; null where it has none.</summary>
    public IReadOnlyList<string?> ChannelNames { get; }

    /// <summary>The bext chunk as it is, to be carried along; null where there is none.</summary>
    public byte[]? BroadcastExtension { get; }

    /// <summary>The iXML chunk as it is; null where there is none.</summary>
    public byte[]? IXml { get; }

    /// <summary>Frames since midnight at the first frame, from bext; null where there is none.</summary>
    public long? TimeReferenceFrames => BroadcastTime.Read(BroadcastExtension);

    internal bool HasDamagedMetadata { get; }

    public static WavFile Open(string path)
    {
        SafeFileHandle handle;
        try
        {
            handle = File.OpenHandle(path, options: FileOptions.SequentialScan);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            throw new UnusableInputException("file-missing", $"{path}: there is no such file", e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("file-unreadable", Directory.Exists(path)
                ? $"{path}: is a folder; give the WAV files in it"
                : $"{path}: cannot be opened; check its permissions", e);
        }
        try
        {
            return new WavFile(path, handle);
        }
        catch (Exception e) when (e is InvalidDataException or IOException)
        {
            handle.Dispose();
            throw new UnusableInputException("not-a-usable-wav", $"{path}: {e.Message}", e);
        }
    }

    public void Dispose() => handle.Dispose();

    /// <summary>Reads whole frames as they are stored; fills <paramref name="bytes"/> or throws.</summary>
    internal void ReadFrames(long firstFrame, Span<byte> bytes)
    {
        var offset = dataOffset + firstFrame * BytesPerFrame;
        while (bytes.Length > 0)
        {
            int got;
            try
            {
                got = RandomAccess.Read(handle, bytes, offset);
            }
            catch (IOException e)
            {
                throw new UnusableInputException("file-unreadable", $"{Path}: cannot be read any further ({e.Message.TrimEnd('.')})", e);
            }
            if (got == 0)
                throw new UnusableInputException("file-unreadable", $"{Path}: became shorter while it was being read");
            offset += got;
            bytes = bytes[got..];
        }
    }

    private byte[] ReadExactly(long offset, int count)
    {
        var bytes = new byte[count];
        return RandomAccess.Read(handle, bytes, offset) == count
            ? bytes
            : throw new InvalidDataException("is truncated; copy it again from the recorder");
    }

    private byte[]? Contents(List<RiffChunk> chunks, string id, long fileBytes)
    {
        var chunk = chunks.Find(c => c.Id == id);
        return chunk.Id is null || chunk.DeclaredBytes > MaxMetadataBytes || chunk.Offset + chunk.DeclaredBytes > fileBytes
            ? null
            : ReadExactly(chunk.Offset, (int)chunk.DeclaredBytes);
    }

    private string Truncated(RiffChunk data, long fileBytes)
    {
        var (claimed, there) = (data.DeclaredBytes / format.BytesPerFrame, (fileBytes - data.Offset) / format.BytesPerFrame);
        return FormattableString.Invariant(
            $"is truncated: its header says {(double)claimed / SampleRateHz:0.###} s, but only {(double)there / SampleRateHz:0.###} s are there; copy it again, or let the recorder repair it");
    }
}
