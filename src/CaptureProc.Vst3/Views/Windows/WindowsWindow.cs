using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Views.Windows;

/// <summary>A child window in one of the host's on Windows, moved by the host's message loop and a timer of its own.</summary>
/// <remarks>Thread: [main]. Not run yet: written from the documentation.</remarks>
internal sealed unsafe class WindowsWindow : NativeWindow
{
    private const nuint TimerId = 1;
    private const uint TimerMilliseconds = 33;
    private const long LeastMillisecondsBetweenFrames = 12;
    private const int WheelStep = 120;

    private static readonly ushort ClassAtom = Register();

    private readonly nint window, parent;
    private readonly Action onTimer;
    private GCHandle<WindowsWindow> self;
    private void* pixels;
    private int width, height;
    private long lastDrawn;
    private bool tracksLeave, isGone;
    private nint pointer;

    private WindowsWindow(nint parent, int width, int height, Action onTimer)
    {
        (this.parent, this.onTimer) = (parent, onTimer);
        self = new GCHandle<WindowsWindow>(this);
        window = Win32.CreateWindow(
            0, ClassAtom, null, Win32.Child | Win32.Visible | Win32.ClipSiblings, 0, 0, width, height, parent, 0, 0, 0);
    }

    /// <summary>Null where the window cannot be made.</summary>
    /// <param name="parent">The host's.</param>
    /// <param name="width">In pixels.</param>
    /// <param name="height">In pixels.</param>
    /// <param name="view">Who draws and hears.</param>
    /// <param name="onTimer">Called thirty times a second, after drawing.</param>
    public static WindowsWindow? TryMake(nint parent, int width, int height, EffectView view, Action onTimer)
    {
        var made = new WindowsWindow(parent, width, height, onTimer) { View = view };
        if (made.window == 0)
        {
            made.self.Dispose();
            return null;
        }
        Win32.SetLong(made.window, Win32.UserData, GCHandle<WindowsWindow>.ToIntPtr(made.self));
        made.TakeSize(width, height);
        Win32.SetTimer(made.window, TimerId, TimerMilliseconds, 0);
        return made;
    }

    public override void Resize(int newWidth, int newHeight)
    {
        if (isGone || (newWidth == width && newHeight == height))
            return;
        Win32.SetPosition(window, 0, 0, 0, newWidth, newHeight, Win32.NoZOrder | Win32.NoMove | Win32.NoActivate);
        View.LeaveSurface();
        TakeSize(newWidth, newHeight);
        lastDrawn = 0;
        Turn();
    }

    public override void Turn()
    {
        var now = Environment.TickCount64;
        if (isGone || Win32.IsVisible(window) == 0 || now - lastDrawn < LeastMillisecondsBetweenFrames)
            return;
        var parts = View.Draw(now);
        if (parts.IsEmpty)
            return;
        lastDrawn = now;
        var context = Win32.GetContext(window);
        foreach (var part in parts)
            Put(context, part);
        Win32.ReleaseContext(window, context);
    }

    public override void UseKeyboard(bool take) => Win32.Focus(take ? window : parent);

    public override void ShowPointer(ViewPointer shape)
    {
        pointer = Win32.LoadCursor(0, shape switch
        {
            ViewPointer.Hand => Win32.HandCursor,
            ViewPointer.UpDown => Win32.UpDownCursor,
            ViewPointer.AllWays => Win32.AllWaysCursor,
            ViewPointer.Text => Win32.TextCursor,
            _ => Win32.ArrowCursor,
        });
        Win32.UseCursor(pointer);
    }

    public override void Dispose()
    {
        if (!isGone)
        {
            Win32.KillTimer(window, TimerId);
            Win32.SetLong(window, Win32.UserData, 0);
            Win32.DestroyWindow(window);
            isGone = true;
        }
        self.Dispose();
        NativeMemory.Free(pixels);
        pixels = null;
    }

    private void TakeSize(int newWidth, int newHeight)
    {
        (width, height) = (newWidth, newHeight);
        NativeMemory.Free(pixels);
        pixels = NativeMemory.AllocZeroed((nuint)width * (nuint)height * 4);
        View.UseSurface(new PixelSurface((nint)pixels, width, height, width * 4));
    }

    private void Put(nint context, PixelRect part)
    {
        var header = new Win32.BitmapHeader { Size = (uint)sizeof(Win32.BitmapHeader), Width = width, Height = -part.Height, Planes = 1, BitCount = 32 };
        // The rows of the part alone, whole, and of them the columns that have changed.
        // A part that was not put is drawn again with the next one; there is nobody to tell.
        _ = Win32.PutPixels(
            context, part.X, part.Y, (uint)part.Width, (uint)part.Height, part.X, 0, 0, (uint)part.Height, (byte*)pixels + (long)part.Y * width * 4, &header, 0);
    }

    private nint Take(uint message, nuint first, nint second)
    {
        switch (message)
        {
            case Win32.Paint:
                Win32.PaintStruct paint;
                var context = Win32.BeginPaint(window, &paint);
                View.Draw(Environment.TickCount64);
                Put(context, new PixelRect(0, 0, width, height));
                Win32.EndPaint(window, &paint);
                return 0;
            case Win32.EraseBackground:
                return 1;
            case Win32.Timer:
                Turn();
                onTimer();
                return 0;
            case Win32.MouseMove:
                TrackLeave();
                View.OnPointer(Pointer(PointerAction.Move, second, 0));
                Turn();
                return 0;
            case Win32.LeftDown or Win32.LeftDouble or Win32.RightDown:
                Win32.SetCapture(window);
                View.OnPointer(Pointer(PointerAction.Press, second, message == Win32.RightDown ? 3 : 1));
                Turn();
                return 0;
            case Win32.LeftUp or Win32.RightUp:
                Win32.ReleaseCapture();
                View.OnPointer(Pointer(PointerAction.Release, second, message == Win32.RightUp ? 3 : 1));
                Turn();
                return 0;
            // The system asks at every move, and takes the class's arrow where nobody answers.
            case Win32.CursorWanted when pointer != 0 && Low(second) == Win32.InClientArea:
                Win32.UseCursor(pointer);
                return 1;
            case Win32.MouseLeave:
                tracksLeave = false;
                View.OnPointer(new PointerInput(PointerAction.Leave, 0, 0, 0, ViewModifiers.None));
                return 0;
            case Win32.Wheel:
                var at = new Win32.Point { X = Low(second), Y = High(second) };
                Win32.ToClient(window, &at);
                View.OnWheel(at.X, at.Y, (short)(first >> 16) / (double)WheelStep, Held());
                return 0;
            case Win32.KeyDown when WindowsKeys.TryRead((int)first, Held(), out var key):
                if (!View.OnKey(key))
                    Win32.Post(parent, message, first, second);
                return 0;
            case Win32.Char when first is >= ' ' and not 127:
                if (!View.OnKey(new KeyInput(ViewKey.Character, (char)first, Held())))
                    Win32.Post(parent, message, first, second);
                return 0;
            case Win32.SetFocus or Win32.KillFocus:
                View.OnFocus(message == Win32.SetFocus);
                return 0;
            case Win32.Destroy:
                isGone = true;
                break;
        }
        return Win32.Default(window, message, first, second);
    }

    private void TrackLeave()
    {
        if (tracksLeave)
            return;
        tracksLeave = true;
        var request = new Win32.TrackRequest { Size = (uint)sizeof(Win32.TrackRequest), Flags = Win32.TrackLeave, Window = window };
        Win32.Track(&request);
    }

    private static PointerInput Pointer(PointerAction action, nint place, int button) => new(action, Low(place), High(place), button, Held());

    private static int Low(nint pair) => (short)pair;

    private static int High(nint pair) => (short)(pair >> 16);

    private static ViewModifiers Held() =>
        (Win32.KeyState(Win32.Shift) < 0 ? ViewModifiers.Shift : 0) | (Win32.KeyState(Win32.Control) < 0 ? ViewModifiers.Control : 0) |
        (Win32.KeyState(Win32.Alt) < 0 ? ViewModifiers.Alt : 0);

    private static ushort Register()
    {
        fixed (char* name = "CaptureProcView\0")
        {
            var description = new Win32.ClassDescription
            {
                Size = (uint)sizeof(Win32.ClassDescription), Style = Win32.DoubleClicks, Procedure = &Procedure, ClassName = name,
                Cursor = Win32.LoadCursor(0, Win32.ArrowCursor),
            };
            return Win32.RegisterClass(&description);
        }
    }

    [UnmanagedCallersOnly]
    private static nint Procedure(nint window, uint message, nuint first, nint second)
    {
        try
        {
            var owner = Win32.GetLong(window, Win32.UserData);
            return owner == 0 ? Win32.Default(window, message, first, second) : GCHandle<WindowsWindow>.FromIntPtr(owner).Target.Take(message, first, second);
        }
        catch
        {
            // A message is lost; an exception in the host's loop would lose the host.
            return 0;
        }
    }
}
