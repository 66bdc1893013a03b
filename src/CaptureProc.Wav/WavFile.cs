using CaptureProc.Session;
using CaptureProc.Wav.Containers;
using CaptureProc.Wav.Metadata;
using CaptureProc.Wav.Riff;
using Microsoft.Win32.SafeHandles;

namespace CaptureProc.Wav;

/// <summary>One audio file, open for reading: what its header says, and its bytes by frame.</summary>
/// <remarks>
/// WAV, RF64 and BW64 are read where they stand; AIFF, CAF, Wave64 and FLAC are decoded first (<see cref="ForeignFile"/>).
/// Errors: <see cref="UnusableInputException"/> for a file that is missing, no regular file, no audio, or of a kind not read.
/// </remarks>
public sealed class WavFile : IDisposable
{
    // Metadata beyond this is no metadata: a damaged length must not make us fill the memory.
    private const int MaxMetadataBytes = 16 << 20;

    private readonly SafeFileHandle handle;
    private readonly WavFormat format;
    private readonly long dataOffset;
    private readonly List<string> faults = [];

    private WavFile(string path, SafeFileHandle handle)
    {
        (Path, this.handle) = (path, handle);
        FileBytes = RandomAccess.GetLength(handle);
        var chunks = RiffReader.ReadChunks(ReadExactly, FileBytes, out var isPlain);
        format = WavFormat.Parse(Contents(chunks, "fmt ")
            ?? throw new InvalidDataException("is damaged: it has no 'fmt' chunk; repair it with the recorder that made it"));
        var data = chunks.Find(c => c.Id == "data");
        if (data.Id is null)
            throw new InvalidDataException("is truncated: it ends before its audio begins; copy it again from the recorder");
        var extent = DataExtent.Find(ReadExactly, FileBytes, data, isPlain);
        (dataOffset, FrameCount) = (data.Offset, extent.Bytes / format.BytesPerFrame);
        if (FrameCount == 0)
            throw new InvalidDataException(extent.Fault == DataFault.CutShort
                ? "is truncated: it ends before its audio begins; copy it again from the recorder"
                : "holds no audio: its length is 0; record or copy it again");
        if (extent.Fault != DataFault.None)
            faults.Add(Describe(extent.Fault, Math.Max(0, data.DeclaredBytes) / format.BytesPerFrame));
        BroadcastExtension = Contents(chunks, "bext");
        IXml = Contents(chunks, "iXML");
        Tracks = TrackList.Read(IXml, ChannelCount);
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
    public IReadOnlyList<string?> ChannelNames => Tracks.Names;

    /// <summary>The bext chunk as it is, to be carried along; null where there is none.</summary>
    public byte[]? BroadcastExtension { get; }

    /// <summary>The iXML chunk as it is; null where there is none.</summary>
    public byte[]? IXml { get; }

    /// <summary>Frames since midnight at the first frame, from bext; null where there is none.</summary>
    public long? TimeReferenceFrames => BroadcastTime.Read(BroadcastExtension);

    /// <summary>What is wrong with the file although it can be read, one line each that begins with its name.</summary>
    public IReadOnlyList<string> Faults => faults;

    /// <summary>What the recorder says about the tracks.</summary>
    internal TrackList Tracks { get; }

    /// <summary>Length of the file itself.</summary>
    internal long FileBytes { get; private set; }

    public static WavFile Open(string path)
    {
        RequireFile(path);
        SafeFileHandle handle;
        try
        {
            handle = File.OpenHandle(path, options: FileOptions.SequentialScan);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            throw Missing(path, e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("file-unreadable", $"{path}: cannot be opened; check its permissions", e);
        }
        try
        {
            return ForeignFile.Recognise(handle) is { } kind ? OpenForeign(path, kind, handle) : new WavFile(path, handle);
        }
        catch (Exception e) when (e is InvalidDataException or IOException)
        {
            handle.Dispose();
            throw new UnusableInputException("not-a-usable-wav", $"{path}: {e.Message}", e);
        }
        catch
        {
            handle.Dispose();
            throw;
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

    private static WavFile OpenForeign(string path, string kind, SafeFileHandle original)
    {
        var originalBytes = RandomAccess.GetLength(original);
        var decoded = ForeignFile.Decode(path, kind, out var complaint);
        try
        {
            var file = new WavFile(path, decoded) { FileBytes = originalBytes };
            if (complaint is not null)
                file.faults.Add($"{path}: is damaged ({complaint}); what can be decoded is read, {Seconds(file.FrameCount, file.SampleRateHz)}: copy it again if the recorder has more");
            original.Dispose();
            return file;
        }
        catch
        {
            decoded.Dispose();
            throw;
        }
    }

    // Opening a pipe would wait for somebody to write into it, and reading goes back and forth.
    private static void RequireFile(string path)
    {
        switch (FileIdentity.Of(path)?.Kind)
        {
            case null when path.Contains('\uFFFD', StringComparison.Ordinal):
                throw new UnusableInputException("file-missing", $"{path}: there is no such file; its name seems not to be UTF-8: rename it, or give a link to it");
            case null:
                throw Missing(path, null);
            case FileKind.Folder:
                throw new UnusableInputException("file-unreadable", $"{path}: is a folder; give the audio files in it");
            case FileKind.Pipe or FileKind.Device:
                throw new UnusableInputException("file-unreadable", $"{path}: is a pipe or a device, and a recording has to be read back and forth; write it to a file first");
        }
    }

    private static UnusableInputException Missing(string path, Exception? cause) => new("file-missing", $"{path}: there is no such file", cause);

    private byte[] ReadExactly(long offset, int count)
    {
        var bytes = new byte[count];
        return RandomAccess.Read(handle, bytes, offset) == count
            ? bytes
            : throw new InvalidDataException("is truncated; copy it again from the recorder");
    }

    private byte[]? Contents(List<RiffChunk> chunks, string id)
    {
        var chunk = chunks.Find(c => c.Id == id);
        return chunk.Id is null || chunk.DeclaredBytes is < 0 or > MaxMetadataBytes || chunk.DeclaredBytes > FileBytes - chunk.Offset
            ? null
            : ReadExactly(chunk.Offset, (int)chunk.DeclaredBytes);
    }

    private string Describe(DataFault fault, long claimedFrames) => fault == DataFault.CutShort
        ? $"{Path}: is cut short: its header says {Seconds(claimedFrames, SampleRateHz)}, but only {Seconds(FrameCount, SampleRateHz)} are there and are read; copy it again if the recorder has more"
        : $"{Path}: its header says {Seconds(claimedFrames, SampleRateHz)}, but the audio goes on behind it, as after a power cut; all {Seconds(FrameCount, SampleRateHz)} are read: let the recorder repair the file";

    private static string Seconds(long frames, int rateHz) => FormattableString.Invariant($"{(double)frames / rateHz:0.###} s");
}
