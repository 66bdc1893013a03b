using System.Buffers.Binary;
using System.Runtime.InteropServices;
using System.Text;
using Microsoft.Win32.SafeHandles;

namespace CaptureProc.Session;

/// <summary>Which file a name stands for: two names of one file, by whatever links and folders, have the same identity.</summary>
/// <remarks>
/// Thread: [any]. On Linux by device and inode (statx, whose record has one layout on every processor: Linux man-pages, statx(2));
/// elsewhere by the path with its last link followed, which does not see hard links.
/// </remarks>
/// <param name="Device">The disk; 0 where only the path is known.</param>
/// <param name="Number">The file on it.</param>
/// <param name="Path">The path, where nothing else is known; otherwise empty.</param>
/// <param name="Kind">What stands there.</param>
public readonly record struct FileIdentity(ulong Device, ulong Number, string Path, FileKind Kind)
{
    private const int CurrentFolder = -100, EmptyPath = 0x1000;
    private const uint TypeAndInode = 0x1 | 0x100;
    private const int RecordBytes = 256, ModeAt = 28, InodeAt = 32, DeviceAt = 136;

    /// <summary>What a path stands for, links followed; null where there is nothing.</summary>
    public static FileIdentity? Of(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        return OperatingSystem.IsLinux() ? Ask(CurrentFolder, path, 0) : ByPath(path);
    }

    /// <summary>What an open file is, wherever its name has gone since.</summary>
    internal static FileIdentity? Of(SafeFileHandle handle) =>
        OperatingSystem.IsLinux() ? Ask((int)handle.DangerousGetHandle(), "", EmptyPath) : null;

    private static FileIdentity? Ask(int folder, string path, int flags)
    {
        var record = new byte[RecordBytes];
        if (StatX(folder, Encoding.UTF8.GetBytes(path + '\0'), flags, TypeAndInode, record) != 0)
            return null;
        return new FileIdentity(
            BinaryPrimitives.ReadUInt64LittleEndian(record.AsSpan(DeviceAt)), BinaryPrimitives.ReadUInt64LittleEndian(record.AsSpan(InodeAt)), "",
            // The S_IFMT bits of the mode.
            (BinaryPrimitives.ReadUInt16LittleEndian(record.AsSpan(ModeAt)) & 0xF000) switch
            {
                0x8000 => FileKind.File,
                0x4000 => FileKind.Folder,
                0x1000 or 0xC000 => FileKind.Pipe,
                _ => FileKind.Device,
            });
    }

    private static FileIdentity? ByPath(string path)
    {
        path = System.IO.Path.GetFullPath(path);
        if (Directory.Exists(path))
            return new FileIdentity(0, 0, path, FileKind.Folder);
        return File.Exists(path)
            ? new FileIdentity(0, 0, File.ResolveLinkTarget(path, returnFinalTarget: true)?.FullName ?? path, FileKind.File)
            : null;
    }

    [DllImport("libc", EntryPoint = "statx", ExactSpelling = true)]
    private static extern int StatX(int folder, byte[] path, int flags, uint mask, byte[] record);
}

/// <summary>What can stand under a name.</summary>
public enum FileKind
{
    File,
    Folder,
    Pipe,
    Device,
}
