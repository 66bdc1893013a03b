namespace CaptureProc.Session;

/// <summary>Reads small files that others replace by a rename meanwhile: nobody is held up, and what is read is one of them whole.</summary>
internal static class SharedFile
{
    /// <summary>Opens for reading; on Windows everybody else may write, rename and delete.</summary>
    public static FileStream Open(string path) => new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);

    public static byte[] ReadAllBytes(string path)
    {
        using var stream = Open(path);
        var bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }
}
