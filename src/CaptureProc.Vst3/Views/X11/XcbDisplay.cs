using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Views.X11;

/// <summary>A connection to the X server, and what a window has to know of it.</summary>
/// <remarks>Thread: [main].</remarks>
internal sealed unsafe class XcbDisplay : IDisposable
{
    public const byte Depth = 24;

    private readonly byte* screen;
    private bool closed;

    private XcbDisplay(nint connection, byte* screen, uint visual)
    {
        (Connection, Visual) = (connection, visual);
        this.screen = screen;
        (ServerShares, SharedEventBase) = FindShared();
    }

    public nint Connection { get; }

    public uint Root => *(uint*)screen;

    public uint Visual { get; }

    public bool ServerShares { get; }

    /// <summary>The event that tells that the server has read the shared pixels.</summary>
    public byte SharedEventBase { get; }

    public bool IsLost => closed || Xcb.HasError(Connection) != 0;

    /// <summary>The display that the environment names; null where it cannot be used, or does not take our kind of pixels.</summary>
    /// <param name="parent">A window whose screen is meant; 0 for the first one.</param>
    public static XcbDisplay? TryOpen(uint parent)
    {
        nint connection;
        try
        {
            connection = Xcb.Connect(null, null);
        }
        catch (DllNotFoundException)
        {
            return null;
        }
        var setup = Xcb.HasError(connection) == 0 ? Xcb.Setup(connection) : null;
        const int imageByteOrder = 30;
        var screen = setup != null && setup[imageByteOrder] == Xcb.LeastByteFirst ? FindScreen(connection, setup, parent) : null;
        var visual = screen != null ? FindVisual(screen) : 0;
        if (visual != 0)
            return new XcbDisplay(connection, screen, visual);
        Xcb.Disconnect(connection);
        return null;
    }

    public void Dispose()
    {
        if (closed)
            return;
        closed = true;
        Xcb.Disconnect(Connection);
    }

    private static byte* FindScreen(nint connection, byte* setup, uint parent)
    {
        uint root = 0;
        if (parent != 0)
        {
            byte* error = null;
            var geometry = Xcb.GetGeometryReply(connection, Xcb.GetGeometry(connection, parent), &error);
            if (geometry == null)
            {
                Xcb.Free(error);
                return null;
            }
            root = *(uint*)(geometry + 8);
            Xcb.Free(geometry);
        }
        for (var screens = Xcb.Screens(setup); screens.Remaining > 0; Xcb.NextScreen(&screens))
            if (root == 0 || *(uint*)screens.Data == root)
                return screens.Data;
        return null;
    }

    // A visual of our own choice: the parent's may have another depth, or an alpha channel.
    private static uint FindVisual(byte* screen)
    {
        for (var depths = Xcb.Depths(screen); depths.Remaining > 0; Xcb.NextDepth(&depths))
        {
            if (depths.Data[0] != Depth)
                continue;
            var visuals = Xcb.Visuals(depths.Data);
            for (var i = 0; i < *(ushort*)(depths.Data + 2); i++)
                if (visuals[i] is { Kind: Xcb.TrueColor, RedMask: 0xFF0000, GreenMask: 0xFF00, BlueMask: 0xFF })
                    return visuals[i].Id;
        }
        return 0;
    }

    private (bool Shares, byte EventBase) FindShared()
    {
        if (!NativeLibrary.TryLoad("libxcb-shm.so.0", out _))
            return (false, 0);
        fixed (byte* name = "MIT-SHM"u8)
        {
            var reply = Xcb.QueryExtensionReply(Connection, Xcb.QueryExtension(Connection, 7, name), null);
            if (reply == null)
                return (false, 0);
            var (present, firstEvent) = (reply[8] != 0, reply[10]);
            Xcb.Free(reply);
            return (present, firstEvent);
        }
    }
}
