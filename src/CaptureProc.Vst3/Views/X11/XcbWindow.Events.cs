namespace CaptureProc.Vst3.Views.X11;

// What happens in the window. Offsets are those of the event structs in xproto.h.
internal sealed unsafe partial class XcbWindow
{
    private const int State = 28, EventX = 24, EventY = 26;
    private const byte WheelUp = 4, WheelDown = 5, FullyCovered = 2;

    private void TakeEvents()
    {
        while (!isGone)
        {
            var content = Xcb.PollForEvent(display.Connection);
            if (content == null)
                return;
            try
            {
                Take(content);
            }
            finally
            {
                Xcb.Free(content);
            }
        }
    }

    private void Take(byte* content)
    {
        var kind = (byte)(content[0] & 0x7F);
        switch (kind)
        {
            case Xcb.KeyPress:
                if (!keyboard.TryRead(content[1], *(ushort*)(content + State), out var key) || !View.OnKey(key))
                    PassOn(content);
                break;
            case Xcb.ButtonPress when content[1] is WheelUp or WheelDown:
                View.OnWheel(X(content), Y(content), content[1] == WheelUp ? 1 : -1, Held(content));
                break;
            case Xcb.ButtonPress when content[1] <= 3:
                View.OnPointer(new PointerInput(PointerAction.Press, X(content), Y(content), content[1], Held(content)));
                break;
            case Xcb.ButtonRelease when content[1] <= 3:
                View.OnPointer(new PointerInput(PointerAction.Release, X(content), Y(content), content[1], Held(content)));
                break;
            case Xcb.MotionNotify:
                View.OnPointer(new PointerInput(PointerAction.Move, X(content), Y(content), 0, Held(content)));
                break;
            case Xcb.LeaveNotify:
                View.OnPointer(new PointerInput(PointerAction.Leave, X(content), Y(content), 0, Held(content)));
                break;
            case Xcb.FocusIn or Xcb.FocusOut:
                View.OnFocus(kind == Xcb.FocusIn);
                break;
            case Xcb.Expose or Xcb.MapNotify:
                isExposed = true;
                canBeSeen = true;
                break;
            case Xcb.UnmapNotify:
                canBeSeen = false;
                break;
            case Xcb.VisibilityNotify:
                isCovered = content[8] == FullyCovered;
                break;
            case Xcb.DestroyNotify:
                isGone = true;
                break;
            case Xcb.MappingNotify:
                keyboard.Read();
                break;
            default:
                if (pixels.IsShared && kind == display.SharedEventBase)
                    isServerReading = false;
                break;
        }
    }

    // A key that means nothing here belongs to the host: the space bar still starts its transport.
    private void PassOn(byte* content)
    {
        *(uint*)(content + 12) = parent;
        Xcb.SendEvent(display.Connection, 1, parent, Xcb.KeyEventMask, content);
        Xcb.Flush(display.Connection);
    }

    private static int X(byte* content) => *(short*)(content + EventX);

    private static int Y(byte* content) => *(short*)(content + EventY);

    private static ViewModifiers Held(byte* content) => XKeyboard.Held(*(ushort*)(content + State));
}
