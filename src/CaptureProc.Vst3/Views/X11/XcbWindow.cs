namespace CaptureProc.Vst3.Views.X11;

/// <summary>A child window in one of the host's on X11.</summary>
/// <remarks>
/// Thread: [main]. The parent may be destroyed before we are told to go: the requests that follow then fail, which is all.
/// A host may only hide the window that holds ours, and nothing tells us of that; so, now and then, and without waiting for the answer,
/// the server is asked whether anybody can see us, and nothing is drawn while nobody can.
/// </remarks>
internal sealed unsafe partial class XcbWindow : NativeWindow
{
    private const long AskSightMilliseconds = 250;

    // Events that move the mouse draw at once, but not more often than a screen shows.
    private const long LeastMillisecondsBetweenFrames = 12;

    private const ushort Arrow = 68, Hand = 60, UpDown = 116, AllWays = 52, TextBar = 152;

    private readonly XcbDisplay display;
    private readonly XKeyboard keyboard;
    private readonly uint parent, window, context, colormap;
    private SharedPixels pixels;
    private uint sightRequest;
    private long sightAsked, lastDrawn;
    private bool canBeSeen = true, isCovered, isGone, isServerReading, isExposed;

    private XcbWindow(XcbDisplay display, uint parent, int width, int height)
    {
        (this.display, this.parent) = (display, parent);
        var connection = display.Connection;
        keyboard = new XKeyboard(connection);
        (window, context, colormap) = (Xcb.NewId(connection), Xcb.NewId(connection), Xcb.NewId(connection));
        Xcb.CreateColormap(connection, 0, colormap, display.Root, display.Visual);
        var values = stackalloc uint[5] { 0, 0, Xcb.NorthWestGravity, Xcb.EventMask, colormap };
        Xcb.CreateWindow(
            connection, XcbDisplay.Depth, window, parent, 0, 0, (ushort)width, (ushort)height, 0, Xcb.InputOutput, display.Visual, Xcb.CreateMask, values);
        Xcb.CreateContext(connection, context, window, 0, null);
        pixels = SharedPixels.Make(connection, display.ServerShares, width, height);
        Xcb.MapWindow(connection, window);
        Xcb.Flush(connection);
    }

    public int FileDescriptor => Xcb.FileDescriptor(display.Connection);

    /// <summary>Whether the server reads the pixels where we draw them.</summary>
    public bool IsShared => pixels.IsShared;

    /// <summary>Null where there is no display that shows our kind of pixels.</summary>
    public static XcbWindow? TryMake(uint parent, int width, int height, EffectView view)
    {
        if (XcbDisplay.TryOpen(parent) is not { } display)
            return null;
        var made = new XcbWindow(display, parent, Bounded(width), Bounded(height)) { View = view };
        view.UseSurface(made.pixels.Surface);
        made.isExposed = true;
        made.Turn();
        return made;
    }

    public override void Resize(int width, int height)
    {
        (width, height) = (Bounded(width), Bounded(height));
        if (display.IsLost || (pixels.Surface.Width == width && pixels.Surface.Height == height))
            return;
        var values = stackalloc uint[2] { (uint)width, (uint)height };
        Xcb.ConfigureWindow(display.Connection, window, (ushort)(Xcb.ConfigureWidth | Xcb.ConfigureHeight), values);
        View.LeaveSurface();
        pixels.Dispose();
        pixels = SharedPixels.Make(display.Connection, display.ServerShares, width, height);
        isServerReading = false;
        View.UseSurface(pixels.Surface);
        isExposed = true;
        lastDrawn = 0;
        Turn();
    }

    public override void Turn()
    {
        if (isGone || display.IsLost)
            return;
        TakeEvents();
        var now = Environment.TickCount64;
        LookWhetherSeen(now);
        if (!isGone && canBeSeen && !isCovered && !isServerReading && now - lastDrawn >= LeastMillisecondsBetweenFrames)
            Show(now);
    }

    public override void UseKeyboard(bool take)
    {
        if (isGone || display.IsLost)
            return;
        Xcb.SetInputFocus(display.Connection, Xcb.RevertToParent, take ? window : parent, 0);
        Xcb.Flush(display.Connection);
    }

    public override void ShowPointer(ViewPointer shape)
    {
        if (isGone || display.IsLost)
            return;
        var connection = display.Connection;
        var (font, cursor) = (Xcb.NewId(connection), Xcb.NewId(connection));
        // Every server has this font; each shape is followed by its mask (X11/cursorfont.h). The window keeps the cursor, so both ids can go.
        var glyph = shape switch
        {
            ViewPointer.Hand => Hand,
            ViewPointer.UpDown => UpDown,
            ViewPointer.AllWays => AllWays,
            ViewPointer.Text => TextBar,
            _ => Arrow,
        };
        var name = "cursor"u8;
        fixed (byte* letters = name)
            Xcb.OpenFont(connection, font, (ushort)name.Length, letters);
        Xcb.CreateGlyphCursor(connection, cursor, font, font, glyph, (ushort)(glyph + 1), 0, 0, 0, ushort.MaxValue, ushort.MaxValue, ushort.MaxValue);
        Xcb.ChangeWindowAttributes(connection, window, Xcb.CursorAttribute, &cursor);
        Xcb.FreeCursor(connection, cursor);
        Xcb.CloseFont(connection, font);
        Xcb.Flush(connection);
    }

    public override void Dispose()
    {
        if (!display.IsLost)
        {
            if (sightRequest != 0)
                Xcb.DiscardReply(display.Connection, sightRequest);
            Xcb.FreeContext(display.Connection, context);
            if (!isGone)
                Xcb.DestroyWindow(display.Connection, window);
            Xcb.FreeColormap(display.Connection, colormap);
        }
        pixels.Dispose();
        display.Dispose();
    }

    private void Show(long now)
    {
        var parts = View.Draw(now);
        if (isExposed)
        {
            pixels.Put(window, context, XcbDisplay.Depth, new PixelRect(0, 0, pixels.Surface.Width, pixels.Surface.Height), true);
        }
        else
        {
            for (var i = 0; i < parts.Length; i++)
                pixels.Put(window, context, XcbDisplay.Depth, parts[i], i == parts.Length - 1);
            if (parts.IsEmpty)
                return;
        }
        isExposed = false;
        isServerReading = pixels.IsShared;
        lastDrawn = now;
        Xcb.Flush(display.Connection);
    }

    private void LookWhetherSeen(long now)
    {
        if (sightRequest != 0)
        {
            byte* reply, error;
            if (Xcb.PollForReply(display.Connection, sightRequest, &reply, &error) == 0)
                return;
            sightRequest = 0;
            var seen = reply != null && reply[26] == Xcb.MapStateViewable;
            // What was drawn while nobody could see it has gone nowhere.
            isExposed |= seen && !canBeSeen;
            canBeSeen = seen;
            Xcb.Free(reply);
            Xcb.Free(error);
        }
        else if (now - sightAsked >= AskSightMilliseconds)
        {
            sightAsked = now;
            sightRequest = Xcb.GetWindowAttributes(display.Connection, window).Sequence;
            Xcb.Flush(display.Connection);
        }
    }

    // X coordinates are 16 bits; no screen is larger.
    private static int Bounded(int length) => Math.Clamp(length, 1, 16384);
}
