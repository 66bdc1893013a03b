using System.Runtime.InteropServices;
using System.Text;
using CaptureProc.Vst3.Views.X11;

namespace CaptureProc.Vst3.Hosting;

/// <summary>A window of this host on X11 that a plug-in's view is put into.</summary>
/// <remarks>Thread: [main].</remarks>
public sealed unsafe class HostWindow : IDisposable
{
    // Predefined atoms of the core protocol.
    private const uint WindowName = 39, String = 31;

    private readonly XcbDisplay display;
    private readonly uint colormap;
    private bool isGone;

    private HostWindow(XcbDisplay display, int width, int height, string title, int x, int y)
    {
        this.display = display;
        var connection = display.Connection;
        (Id, colormap) = (Xcb.NewId(connection), Xcb.NewId(connection));
        Xcb.CreateColormap(connection, 0, colormap, display.Root, display.Visual);
        var values = stackalloc uint[5] { 0, 0, Xcb.NorthWestGravity, Xcb.KeyEventMask, colormap };
        Xcb.CreateWindow(
            connection, XcbDisplay.Depth, Id, display.Root, (short)x, (short)y, (ushort)width, (ushort)height, 0, Xcb.InputOutput, display.Visual, Xcb.CreateMask, values);
        var name = Encoding.Latin1.GetBytes(title);
        fixed (byte* text = name)
            Xcb.ChangeProperty(connection, 0, Id, WindowName, String, 8, (uint)name.Length, text);
        (Width, Height) = (width, height);
        Show();
    }

    public uint Id { get; }

    public int Width { get; private set; }

    public int Height { get; private set; }

    /// <summary>Null where there is no X display.</summary>
    public static HostWindow? TryOpen(int width, int height, string title, int x = 0, int y = 0) =>
        XcbDisplay.TryOpen(0) is { } display ? new HostWindow(display, width, height, title, x, y) : null;

    public void Show()
    {
        Xcb.MapWindow(display.Connection, Id);
        Settle();
    }

    public void Hide()
    {
        Xcb.UnmapWindow(display.Connection, Id);
        Settle();
    }

    public void Resize(int width, int height)
    {
        var values = stackalloc uint[2] { (uint)width, (uint)height };
        Xcb.ConfigureWindow(display.Connection, Id, (ushort)(Xcb.ConfigureWidth | Xcb.ConfigureHeight), values);
        (Width, Height) = (width, height);
        Settle();
    }

    /// <summary>Takes the window away while a view is still in it, as some hosts do.</summary>
    public void Destroy()
    {
        if (isGone)
            return;
        isGone = true;
        Xcb.DestroyWindow(display.Connection, Id);
        Settle();
    }

    /// <summary>The windows that have been put into this one.</summary>
    public uint[] Children()
    {
        byte* error = null;
        var reply = Xcb.QueryTreeReply(display.Connection, Xcb.QueryTree(display.Connection, Id), &error);
        Xcb.Free(error);
        if (reply == null)
            return [];
        var children = new ReadOnlySpan<uint>(reply + 32, *(ushort*)(reply + 16)).ToArray();
        Xcb.Free(reply);
        return children;
    }

    /// <summary>Sends the mouse to the first window in this one; a button of 0 only moves it.</summary>
    /// <param name="x">In that window's pixels.</param>
    /// <param name="y">In that window's pixels.</param>
    /// <param name="button">Counted from 1; 4 and 5 are the wheel.</param>
    /// <param name="isDown">Pressed or let go.</param>
    /// <param name="state">Keys and buttons that are held, as the core protocol counts them.</param>
    public void SendPointer(int x, int y, byte button = 0, bool isDown = true, ushort state = 0)
    {
        Send(button == 0 ? Xcb.MotionNotify : isDown ? Xcb.ButtonPress : Xcb.ButtonRelease, button, x, y, state);
    }

    /// <summary>Sends a key to the first window in this one, by the server's key code.</summary>
    public void SendKey(byte code, ushort state = 0) => Send(Xcb.KeyPress, code, 0, 0, state);

    private void Send(byte kind, byte detail, int x, int y, ushort state)
    {
        if (Children() is not [var child, ..])
            return;
        var content = stackalloc byte[32];
        new Span<byte>(content, 32).Clear();
        (content[0], content[1], content[30]) = (kind, detail, 1);
        *(uint*)(content + 8) = display.Root;
        *(uint*)(content + 12) = child;
        (*(short*)(content + 24), *(short*)(content + 26)) = ((short)x, (short)y);
        *(ushort*)(content + 28) = state;
        // No mask: it goes to whoever made the window.
        Xcb.SendEvent(display.Connection, 0, child, 0, content);
        Settle();
    }

    /// <summary>What the window shows, its children included: rows of 0x00RRGGBB; empty where the server gives none.</summary>
    public uint[] Photograph()
    {
        byte* error = null;
        var reply = Xcb.GetImageReply(
            display.Connection, Xcb.GetImage(display.Connection, Xcb.ZPixmap, Id, 0, 0, (ushort)Width, (ushort)Height, uint.MaxValue), &error);
        Xcb.Free(error);
        if (reply == null)
            return [];
        var pixels = new ReadOnlySpan<uint>(reply + 32, Width * Height).ToArray();
        Xcb.Free(reply);
        for (var i = 0; i < pixels.Length; i++)
            pixels[i] &= 0xFFFFFF;
        return pixels;
    }

    public void Dispose()
    {
        Destroy();
        Xcb.FreeColormap(display.Connection, colormap);
        display.Dispose();
    }

    // A question whose answer is waited for: then everything before it has been done.
    private void Settle()
    {
        byte* error = null;
        Xcb.Free(Xcb.GetGeometryReply(display.Connection, Xcb.GetGeometry(display.Connection, display.Root), &error));
        Xcb.Free(error);
    }
}
