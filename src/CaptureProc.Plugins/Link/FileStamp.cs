namespace CaptureProc.Plugins.Link;

/// <summary>Tells cheaply whether a file has changed: its time and its size.</summary>
/// <remarks>Session files are replaced by a rename, so a new version always has a new time.</remarks>
internal readonly record struct FileStamp(long Ticks, long Bytes)
{
    public static readonly FileStamp Missing = new(0, -1);

    public static FileStamp Of(FileInfo file)
    {
        file.Refresh();
        return file.Exists ? new FileStamp(file.LastWriteTimeUtc.Ticks, file.Length) : Missing;
    }
}
