using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Views.Windows;

/// <summary>The few calls of user32 and gdi32 that a window needs, as winuser.h and wingdi.h declare them.</summary>
/// <remarks>Thread: [main]. Not run yet: written from the documentation.</remarks>
internal static unsafe partial class Win32
{
    public const uint Destroy = 0x2, SetFocus = 0x7, KillFocus = 0x8, Paint = 0xF, EraseBackground = 0x14, KeyDown = 0x100, Char = 0x102, Timer = 0x113;
    public const uint MouseMove = 0x200, LeftDown = 0x201, LeftUp = 0x202, LeftDouble = 0x203, RightDown = 0x204, RightUp = 0x205, Wheel = 0x20A, MouseLeave = 0x2A3;
    public const uint Child = 0x4000_0000, Visible = 0x1000_0000, ClipSiblings = 0x0400_0000;
    public const uint DoubleClicks = 8, NoZOrder = 4, NoMove = 2, NoActivate = 0x10, TrackLeave = 2;
    public const int ArrowCursor = 32512, TextCursor = 32513, UpDownCursor = 32645, AllWaysCursor = 32646, HandCursor = 32649, UserData = -21;
    public const int CursorWanted = 0x20, InClientArea = 1;
    public const int Shift = 0x10, Control = 0x11, Alt = 0x12;

    [LibraryImport("user32", EntryPoint = "RegisterClassExW")]
    public static partial ushort RegisterClass(ClassDescription* description);

    [LibraryImport("user32", EntryPoint = "CreateWindowExW")]
    public static partial nint CreateWindow(
        uint extended, nint classAtom, char* title, uint style, int x, int y, int width, int height, nint parent, nint menu, nint instance, nint parameter);

    [LibraryImport("user32", EntryPoint = "DestroyWindow")]
    public static partial void DestroyWindow(nint window);

    [LibraryImport("user32", EntryPoint = "DefWindowProcW")]
    public static partial nint Default(nint window, uint message, nuint first, nint second);

    [LibraryImport("user32", EntryPoint = "SetWindowLongPtrW")]
    public static partial void SetLong(nint window, int index, nint value);

    [LibraryImport("user32", EntryPoint = "GetWindowLongPtrW")]
    public static partial nint GetLong(nint window, int index);

    [LibraryImport("user32", EntryPoint = "SetWindowPos")]
    public static partial void SetPosition(nint window, nint after, int x, int y, int width, int height, uint flags);

    [LibraryImport("user32", EntryPoint = "SetTimer")]
    public static partial void SetTimer(nint window, nuint id, uint milliseconds, nint function);

    [LibraryImport("user32", EntryPoint = "KillTimer")]
    public static partial void KillTimer(nint window, nuint id);

    [LibraryImport("user32", EntryPoint = "IsWindowVisible")]
    public static partial int IsVisible(nint window);

    [LibraryImport("user32", EntryPoint = "BeginPaint")]
    public static partial nint BeginPaint(nint window, PaintStruct* paint);

    [LibraryImport("user32", EntryPoint = "EndPaint")]
    public static partial void EndPaint(nint window, PaintStruct* paint);

    [LibraryImport("user32", EntryPoint = "GetDC")]
    public static partial nint GetContext(nint window);

    [LibraryImport("user32", EntryPoint = "ReleaseDC")]
    public static partial void ReleaseContext(nint window, nint context);

    [LibraryImport("user32", EntryPoint = "SetCapture")]
    public static partial void SetCapture(nint window);

    [LibraryImport("user32", EntryPoint = "ReleaseCapture")]
    public static partial void ReleaseCapture();

    [LibraryImport("user32", EntryPoint = "SetFocus")]
    public static partial void Focus(nint window);

    [LibraryImport("user32", EntryPoint = "GetKeyState")]
    public static partial short KeyState(int key);

    [LibraryImport("user32", EntryPoint = "TrackMouseEvent")]
    public static partial void Track(TrackRequest* request);

    [LibraryImport("user32", EntryPoint = "ScreenToClient")]
    public static partial void ToClient(nint window, Point* point);

    [LibraryImport("user32", EntryPoint = "SetCursor")]
    public static partial nint UseCursor(nint cursor);

    [LibraryImport("user32", EntryPoint = "LoadCursorW")]
    public static partial nint LoadCursor(nint instance, nint name);

    [LibraryImport("user32", EntryPoint = "PostMessageW")]
    public static partial void Post(nint window, uint message, nuint first, nint second);

    [LibraryImport("gdi32", EntryPoint = "SetDIBitsToDevice")]
    public static partial int PutPixels(
        nint context, int x, int y, uint width, uint height, int sourceX, int sourceY, uint firstRow, uint rows, void* pixels, BitmapHeader* header, uint usage);

    public struct Point
    {
        public int X, Y;
    }

    /// <summary>WNDCLASSEXW.</summary>
    public struct ClassDescription
    {
        public uint Size, Style;
        public delegate* unmanaged<nint, uint, nuint, nint, nint> Procedure;
        public int ClassExtra, WindowExtra;
        public nint Instance, Icon, Cursor, Background;
        public char* MenuName;
        public char* ClassName;
        public nint SmallIcon;
    }

    /// <summary>PAINTSTRUCT.</summary>
    public struct PaintStruct
    {
        public nint Context;
        public int Erase;
        public int Left, Top, Right, Bottom;
        public int Restore, IncludeUpdate;
        public fixed byte Reserved[32];
    }

    /// <summary>TRACKMOUSEEVENT.</summary>
    public struct TrackRequest
    {
        public uint Size, Flags;
        public nint Window;
        public uint HoverTime;
    }

    /// <summary>BITMAPINFOHEADER; a negative height is a picture from the top down.</summary>
    public struct BitmapHeader
    {
        public uint Size;
        public int Width, Height;
        public ushort Planes, BitCount;
        public uint Compression, ImageBytes;
        public int PixelsPerMetreX, PixelsPerMetreY;
        public uint ColoursUsed, ColoursImportant;
    }
}
