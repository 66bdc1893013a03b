using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Views.Mac;

/// <summary>A view in one of the host's on macOS, moved by its run loop and a timer of its own.</summary>
/// <remarks>
/// Thread: [main]. Not run yet: written from the headers' documentation.
/// The class is made at run time, so no compiler of another language is needed; a table leads from a view back to here. Sizes of the
/// interface are in points; pixels are points times the screen's backing scale.
/// </remarks>
internal sealed unsafe class CocoaWindow : NativeWindow
{
    private const double TimerSeconds = 1 / 30.0;

    // kCGImageAlphaNoneSkipFirst | kCGBitmapByteOrder32Little: blue in the lowest byte.
    private const uint PixelFormat = 6 | 2 << 12;

    // NSTrackingMouseEnteredAndExited | MouseMoved | ActiveAlways | InVisibleRect.
    private const nuint Tracking = 0x01 | 0x02 | 0x80 | 0x200;

    private static readonly Dictionary<nint, CocoaWindow> Owners = [];
    private static readonly nint ViewClass = MakeClass();

    private readonly nint view, timer, colourSpace;
    private readonly Action onTimer;
    private GCHandle<CocoaWindow> self;
    private void* pixels;
    private nint bitmap;
    private int width, height, pixelWidth, pixelHeight;
    private double backing = 1;

    private CocoaWindow(nint parent, int width, int height, Action onTimer)
    {
        this.onTimer = onTimer;
        var made = ObjectiveC.Send(ViewClass, ObjectiveC.Selector("alloc"));
        view = ObjectiveC.SendRect(made, ObjectiveC.Selector("initWithFrame:"), new ObjectiveC.Rect { Width = width, Height = height });
        Owners[view] = this;
        ObjectiveC.Send(parent, ObjectiveC.Selector("addSubview:"), view);
        var area = ObjectiveC.SendTracking(
            ObjectiveC.Send(ObjectiveC.ClassOf("NSTrackingArea"), ObjectiveC.Selector("alloc")), ObjectiveC.Selector("initWithRect:options:owner:userInfo:"),
            default, Tracking, view, 0);
        ObjectiveC.Send(view, ObjectiveC.Selector("addTrackingArea:"), area);
        ObjectiveC.Send(area, ObjectiveC.Selector("release"));
        colourSpace = ObjectiveC.NewColourSpace();
        self = new GCHandle<CocoaWindow>(this);
        var context = new ObjectiveC.TimerContext { Information = GCHandle<CocoaWindow>.ToIntPtr(self) };
        timer = ObjectiveC.NewTimer(0, ObjectiveC.Now() + TimerSeconds, TimerSeconds, 0, 0, &OnTimer, &context);
        ObjectiveC.AddTimer(ObjectiveC.MainLoop(), timer, ObjectiveC.CommonModes());
    }

    /// <param name="parent">The host's NSView.</param>
    /// <param name="width">In points.</param>
    /// <param name="height">In points.</param>
    /// <param name="view">Who draws and hears.</param>
    /// <param name="onTimer">Called thirty times a second, after drawing.</param>
    public static CocoaWindow Make(nint parent, int width, int height, EffectView view, Action onTimer)
    {
        var made = new CocoaWindow(parent, width, height, onTimer) { View = view };
        made.TakeSize(width, height);
        return made;
    }

    public override void Resize(int newWidth, int newHeight)
    {
        if (newWidth == width && newHeight == height)
            return;
        ObjectiveC.SendSize(view, ObjectiveC.Selector("setFrameSize:"), new ObjectiveC.Size { Width = newWidth, Height = newHeight });
        View.LeaveSurface();
        TakeSize(newWidth, newHeight);
    }

    public override void Turn()
    {
        if (BackingScale() is var now && now != backing)
        {
            View.LeaveSurface();
            TakeSize(width, height);
        }
        if (ObjectiveC.Send(view, ObjectiveC.Selector("isHiddenOrHasHiddenAncestor")) << 56 != 0 || ObjectiveC.Send(view, ObjectiveC.Selector("window")) == 0)
            return;
        if (!View.Draw(Environment.TickCount64).IsEmpty)
            ObjectiveC.SendByte(view, ObjectiveC.Selector("setNeedsDisplay:"), 1);
    }

    public override void ShowPointer(ViewPointer shape)
    {
        var cursor = ObjectiveC.Send(ObjectiveC.ClassOf("NSCursor"), ObjectiveC.Selector(shape switch
        {
            ViewPointer.Hand => "pointingHandCursor",
            ViewPointer.UpDown => "resizeUpDownCursor",
            ViewPointer.AllWays => "openHandCursor",
            ViewPointer.Text => "IBeamCursor",
            _ => "arrowCursor",
        }));
        if (cursor != 0)
            ObjectiveC.Send(cursor, ObjectiveC.Selector("set"));
    }

    public override void UseKeyboard(bool take)
    {
        var window = ObjectiveC.Send(view, ObjectiveC.Selector("window"));
        if (window != 0)
            ObjectiveC.Send(window, ObjectiveC.Selector("makeFirstResponder:"), take ? view : 0);
    }

    public override void Dispose()
    {
        ObjectiveC.EndTimer(timer);
        ObjectiveC.Release(timer);
        Owners.Remove(view);
        ObjectiveC.Send(view, ObjectiveC.Selector("removeFromSuperview"));
        ObjectiveC.Send(view, ObjectiveC.Selector("release"));
        LetPixelsGo();
        ObjectiveC.Release(colourSpace);
        self.Dispose();
    }

    private void TakeSize(int newWidth, int newHeight)
    {
        LetPixelsGo();
        backing = BackingScale();
        (width, height) = (newWidth, newHeight);
        (pixelWidth, pixelHeight) = ((int)(width * backing), (int)(height * backing));
        pixels = NativeMemory.AllocZeroed((nuint)pixelWidth * (nuint)pixelHeight * 4);
        bitmap = ObjectiveC.NewBitmap(pixels, (nuint)pixelWidth, (nuint)pixelHeight, 8, (nuint)pixelWidth * 4, colourSpace, PixelFormat);
        View.UseSurface(new PixelSurface((nint)pixels, pixelWidth, pixelHeight, pixelWidth * 4));
    }

    private void LetPixelsGo()
    {
        if (bitmap != 0)
            ObjectiveC.Release(bitmap);
        bitmap = 0;
        NativeMemory.Free(pixels);
        pixels = null;
    }

    private double BackingScale()
    {
        var window = ObjectiveC.Send(view, ObjectiveC.Selector("window"));
        return window == 0 ? backing : ObjectiveC.SendForDouble(window, ObjectiveC.Selector("backingScaleFactor"));
    }

    private void Paint()
    {
        var graphics = ObjectiveC.Send(ObjectiveC.ClassOf("NSGraphicsContext"), ObjectiveC.Selector("currentContext"));
        if (graphics == 0 || bitmap == 0)
            return;
        var context = ObjectiveC.Send(graphics, ObjectiveC.Selector("CGContext"));
        var image = ObjectiveC.NewImage(bitmap);
        // The view counts from the top, pictures are drawn from the bottom.
        ObjectiveC.Translate(context, 0, height);
        ObjectiveC.Scale(context, 1, -1);
        ObjectiveC.DrawImage(context, new ObjectiveC.Rect { Width = width, Height = height }, image);
        ObjectiveC.Release(image);
    }

    private void OnMouse(nint happened, PointerAction action, int button)
    {
        var (x, y) = Place(happened);
        View.OnPointer(new PointerInput(action, x, y, button, Held(happened)));
        Turn();
    }

    private (int X, int Y) Place(nint happened)
    {
        var inWindow = ObjectiveC.SendForPoint(happened, ObjectiveC.Selector("locationInWindow"));
        var at = ObjectiveC.SendForPoint(view, ObjectiveC.Selector("convertPoint:fromView:"), inWindow, 0);
        return ((int)(at.X * backing), (int)(at.Y * backing));
    }

    private static ViewModifiers Held(nint happened)
    {
        // NSEventModifierFlags.
        var flags = ObjectiveC.Send(happened, ObjectiveC.Selector("modifierFlags"));
        return ((flags & 1 << 17) != 0 ? ViewModifiers.Shift : 0) | ((flags & (1 << 18 | 1 << 20)) != 0 ? ViewModifiers.Control : 0) |
            ((flags & 1 << 19) != 0 ? ViewModifiers.Alt : 0);
    }

    private static nint MakeClass()
    {
        var made = ObjectiveC.NewClass(ObjectiveC.ClassOf("NSView"), "CaptureProcView", 0);
        Add("isFlipped", (delegate* unmanaged<nint, nint, byte>)&Yes, "c@:");
        Add("acceptsFirstResponder", (delegate* unmanaged<nint, nint, byte>)&Yes, "c@:");
        Add("drawRect:", (delegate* unmanaged<nint, nint, ObjectiveC.Rect, void>)&DrawRect, "v@:{CGRect={CGPoint=dd}{CGSize=dd}}");
        Add("mouseDown:", (delegate* unmanaged<nint, nint, nint, void>)&MouseDown, "v@:@");
        Add("mouseUp:", (delegate* unmanaged<nint, nint, nint, void>)&MouseUp, "v@:@");
        Add("rightMouseDown:", (delegate* unmanaged<nint, nint, nint, void>)&RightMouseDown, "v@:@");
        Add("mouseMoved:", (delegate* unmanaged<nint, nint, nint, void>)&MouseMoved, "v@:@");
        Add("mouseDragged:", (delegate* unmanaged<nint, nint, nint, void>)&MouseMoved, "v@:@");
        Add("mouseExited:", (delegate* unmanaged<nint, nint, nint, void>)&MouseExited, "v@:@");
        Add("scrollWheel:", (delegate* unmanaged<nint, nint, nint, void>)&ScrollWheel, "v@:@");
        Add("keyDown:", (delegate* unmanaged<nint, nint, nint, void>)&KeyDown, "v@:@");
        Add("becomeFirstResponder", (delegate* unmanaged<nint, nint, byte>)&BecomeFirst, "c@:");
        Add("resignFirstResponder", (delegate* unmanaged<nint, nint, byte>)&ResignFirst, "c@:");
        ObjectiveC.Register(made);
        return made;

        void Add(string selector, void* function, string types) => ObjectiveC.AddMethod(made, ObjectiveC.Selector(selector), function, types);
    }

    // A message is lost where anything fails; an exception in the host's loop would lose the host.
    private static void With(nint view, Action<CocoaWindow> act)
    {
        try
        {
            if (Owners.TryGetValue(view, out var owner))
                act(owner);
        }
        catch
        {
            // See above.
        }
    }

    [UnmanagedCallersOnly]
    private static byte Yes(nint view, nint selector) => 1;

    [UnmanagedCallersOnly]
    private static void DrawRect(nint view, nint selector, ObjectiveC.Rect dirty) => With(view, owner => owner.Paint());

    [UnmanagedCallersOnly]
    private static void MouseDown(nint view, nint selector, nint happened) => With(view, owner => owner.OnMouse(happened, PointerAction.Press, 1));

    [UnmanagedCallersOnly]
    private static void MouseUp(nint view, nint selector, nint happened) => With(view, owner => owner.OnMouse(happened, PointerAction.Release, 1));

    [UnmanagedCallersOnly]
    private static void RightMouseDown(nint view, nint selector, nint happened) => With(view, owner => owner.OnMouse(happened, PointerAction.Press, 3));

    [UnmanagedCallersOnly]
    private static void MouseMoved(nint view, nint selector, nint happened) => With(view, owner => owner.OnMouse(happened, PointerAction.Move, 0));

    [UnmanagedCallersOnly]
    private static void MouseExited(nint view, nint selector, nint happened) => With(view, owner => owner.OnMouse(happened, PointerAction.Leave, 0));

    [UnmanagedCallersOnly]
    private static void ScrollWheel(nint view, nint selector, nint happened) => With(view, owner =>
    {
        var (x, y) = owner.Place(happened);
        owner.View.OnWheel(x, y, Math.Sign(ObjectiveC.SendForDouble(happened, ObjectiveC.Selector("scrollingDeltaY"))), Held(happened));
    });

    [UnmanagedCallersOnly]
    private static void KeyDown(nint view, nint selector, nint happened) => With(view, owner =>
    {
        var text = ObjectiveC.Text(ObjectiveC.Send(happened, ObjectiveC.Selector("characters")));
        if (text.Length > 0 && MacKeys.TryRead(text[0], Held(happened), out var key) && owner.View.OnKey(key))
            return;
        var next = ObjectiveC.Send(view, ObjectiveC.Selector("nextResponder"));
        if (next != 0)
            ObjectiveC.Send(next, ObjectiveC.Selector("keyDown:"), happened);
    });

    [UnmanagedCallersOnly]
    private static byte BecomeFirst(nint view, nint selector)
    {
        With(view, owner => owner.View.OnFocus(true));
        return 1;
    }

    [UnmanagedCallersOnly]
    private static byte ResignFirst(nint view, nint selector)
    {
        With(view, owner => owner.View.OnFocus(false));
        return 1;
    }

    [UnmanagedCallersOnly]
    private static void OnTimer(nint timer, nint information)
    {
        try
        {
            var owner = GCHandle<CocoaWindow>.FromIntPtr(information).Target;
            owner.Turn();
            owner.onTimer();
        }
        catch
        {
            // A frame is lost.
        }
    }
}
