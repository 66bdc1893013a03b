using CaptureProc.Session;
using PureHDF;
using PureHDF.VOL.Native;

namespace CaptureProc.Sofa;

/// <summary>The members of an HDF5 file as plain numbers and texts; PureHDF stays behind this wall.</summary>
/// <remarks>The library reports trouble by exceptions of no particular type, so each call into it is guarded here, once.</remarks>
internal sealed class HdfFile : IDisposable
{
    // Room for a whole set. The library's default of 1 MB makes it inflate each chunk anew for every row it crosses, which
    // takes seconds for what is done in some hundredths of one.
    private const int CachedChunks = 4096;
    private const ulong CachedBytes = 256 << 20;

    private readonly string path;
    private readonly NativeFile file;

    private HdfFile(string path, NativeFile file) => (this.path, this.file) = (path, file);

    public static HdfFile Open(string path)
    {
        if (!File.Exists(path))
            throw new UnusableInputException("file-missing", $"{path}: there is no such file");
        try
        {
            return new HdfFile(path, H5File.OpenRead(path));
        }
        catch (Exception cause)
        {
            throw new UnusableInputException("sofa-unreadable", $"{path}: cannot be read as HDF5; give a SOFA file ({OneLine(cause)})", cause);
        }
    }

    /// <summary>A dataset of floating-point numbers, in row-major order.</summary>
    public (double[] Values, int[] Dimensions) Numbers(string name)
    {
        if (!Guarded(name, () => file.LinkExists(name)))
            throw Unusable($"has no member {name}; the file is not complete");
        return Guarded(name, () =>
        {
            var dataset = (NativeDataset)file.Dataset(name);
            var access = new H5DatasetAccess(ChunkCache: new SimpleReadingChunkCache(chunkSlotCount: CachedChunks, byteCount: CachedBytes));
            var dimensions = dataset.Space.Dimensions.Select(d => checked((int)d)).ToArray();
            // The library converts byte order, but not between sizes.
            double[] values = dataset.Type.Size == sizeof(float) ? [.. dataset.Read<float[]>(access).Select(v => (double)v)] : dataset.Read<double[]>(access);
            return (values, dimensions);
        });
    }

    /// <summary>An attribute of the file or of one of its members; null where it is not there or has no content.</summary>
    public string? Text(string name, string? of = null) => Guarded(name, () =>
    {
        IH5Object owner = of is null ? file : file.Dataset(of);
        if (!owner.AttributeExists(name))
            return null;
        var attribute = owner.Attribute(name);
        return attribute.Space.Type == H5DataspaceType.Null ? null : attribute.Read<string>();
    });

    public UnusableInputException Unusable(string what, Exception? cause = null) => new("sofa-unusable", $"{path}: {what}", cause);

    public void Dispose() => file.Dispose();

    private T Guarded<T>(string member, Func<T> read)
    {
        try
        {
            return read();
        }
        catch (Exception cause) when (cause is not UnusableInputException)
        {
            throw Unusable($"is damaged: {member} cannot be read ({OneLine(cause)})", cause);
        }
    }

    private static string OneLine(Exception cause) => cause.Message.ReplaceLineEndings(" ").TrimEnd('.');
}
