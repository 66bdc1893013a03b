using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Views.X11;

/// <summary>Pixels that this process and the X server both see; plain memory where the server does not share.</summary>
/// <remarks>
/// Thread: [main]. Native memory only: the collector neither scans nor moves a picture.
/// The segment is marked for removal as soon as both sides hold it, so that nothing is left behind however the host ends.
/// </remarks>
internal sealed unsafe partial class SharedPixels : IDisposable
{
    private const int Private = 0, Create = 0x200, OwnerOnly = 0x180, Remove = 0;
    private static readonly nint Failed = -1;

    private readonly nint connection;
    private readonly uint segment;
    private readonly void* memory;

    private SharedPixels(nint connection, uint segment, void* memory, int width, int height)
    {
        (this.connection, this.segment) = (connection, segment);
        this.memory = memory;
        Surface = new PixelSurface((nint)memory, width, height, width * 4);
    }

    public PixelSurface Surface { get; }

    public bool IsShared => segment != 0;

    public static SharedPixels Make(nint connection, bool serverShares, int width, int height)
    {
        var bytes = (nuint)width * (nuint)height * 4;
        uint segment = 0;
        var shared = serverShares ? TryShare(connection, bytes, out segment) : null;
        return new SharedPixels(connection, segment, shared != null ? shared : NativeMemory.AllocZeroed(bytes), width, height);
    }

    private static void* TryShare(nint connection, nuint bytes, out uint segment)
    {
        segment = 0;
        var id = Get(Private, bytes, Create | OwnerOnly);
        if (id < 0)
            return null;
        var memory = Attach(id, null, 0);
        if ((nint)memory == Failed)
        {
            Control(id, Remove, null);
            return null;
        }
        segment = Xcb.NewId(connection);
        // A server on another machine has the extension and yet cannot attach; only its answer tells.
        var error = Xcb.RequestCheck(connection, AttachAtServer(connection, segment, (uint)id, 0));
        Control(id, Remove, null);
        if (error == null)
            return memory;
        Xcb.Free(error);
        segment = 0;
        Detach(memory);
        return null;
    }

    public void Put(uint window, uint context, byte depth, PixelRect part, bool tellWhenDone)
    {
        if (IsShared)
        {
            PutShared(
                connection, window, context, (ushort)Surface.Width, (ushort)Surface.Height, (ushort)part.X, (ushort)part.Y, (ushort)part.Width, (ushort)part.Height,
                (short)part.X, (short)part.Y, depth, Xcb.ZPixmap, tellWhenDone ? (byte)1 : (byte)0, segment, 0);
            return;
        }
        // Whole rows, as many at once as a request holds.
        var room = Xcb.MaximumRequestWords(connection) * 4L - 64;
        var rowsAtOnce = (int)Math.Clamp(room / Surface.StrideBytes, 1, part.Height);
        for (var row = part.Y; row < part.Y + part.Height; row += rowsAtOnce)
        {
            var rows = Math.Min(rowsAtOnce, part.Y + part.Height - row);
            Xcb.PutImage(
                connection, Xcb.ZPixmap, window, context, (ushort)Surface.Width, (ushort)rows, 0, (short)row, 0, depth, (uint)(rows * Surface.StrideBytes),
                (byte*)Surface.Pixels + (long)row * Surface.StrideBytes);
        }
    }

    public void Dispose()
    {
        if (IsShared)
        {
            DetachAtServer(connection, segment);
            Detach(memory);
        }
        else
        {
            NativeMemory.Free(memory);
        }
    }

    [LibraryImport("libc", EntryPoint = "shmget")]
    private static partial int Get(int key, nuint bytes, int flags);

    [LibraryImport("libc", EntryPoint = "shmat")]
    private static partial void* Attach(int id, void* address, int flags);

    [LibraryImport("libc", EntryPoint = "shmdt")]
    private static partial void Detach(void* address);

    [LibraryImport("libc", EntryPoint = "shmctl")]
    private static partial void Control(int id, int command, void* buffer);

    [LibraryImport("libxcb-shm.so.0", EntryPoint = "xcb_shm_attach_checked")]
    private static partial Xcb.Cookie AttachAtServer(nint connection, uint segment, uint id, byte readOnly);

    [LibraryImport("libxcb-shm.so.0", EntryPoint = "xcb_shm_detach")]
    private static partial Xcb.Cookie DetachAtServer(nint connection, uint segment);

    [LibraryImport("libxcb-shm.so.0", EntryPoint = "xcb_shm_put_image")]
    private static partial Xcb.Cookie PutShared(
        nint connection, uint drawable, uint context, ushort totalWidth, ushort totalHeight, ushort sourceX, ushort sourceY, ushort width, ushort height,
        short x, short y, byte depth, byte format, byte sendEvent, uint segment, uint offset);
}
