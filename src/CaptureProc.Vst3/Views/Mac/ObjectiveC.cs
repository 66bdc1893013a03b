using System.Runtime.InteropServices;
using System.Text;

namespace CaptureProc.Vst3.Views.Mac;

/// <summary>The few calls of the Objective-C runtime and of Core Graphics that a view needs.</summary>
/// <remarks>Thread: [main]. Not run yet: written from the headers' documentation (objc/runtime.h, objc/message.h, CoreGraphics).</remarks>
internal static unsafe partial class ObjectiveC
{
    private const string Runtime = "/usr/lib/libobjc.A.dylib";
    private const string Graphics = "/System/Library/Frameworks/CoreGraphics.framework/CoreGraphics";
    private const string Foundation = "/System/Library/Frameworks/CoreFoundation.framework/CoreFoundation";

    [LibraryImport(Runtime, EntryPoint = "objc_getClass", StringMarshalling = StringMarshalling.Utf8)]
    public static partial nint ClassOf(string name);

    [LibraryImport(Runtime, EntryPoint = "sel_registerName", StringMarshalling = StringMarshalling.Utf8)]
    public static partial nint Selector(string name);

    [LibraryImport(Runtime, EntryPoint = "objc_allocateClassPair", StringMarshalling = StringMarshalling.Utf8)]
    public static partial nint NewClass(nint parent, string name, nuint extraBytes);

    [LibraryImport(Runtime, EntryPoint = "objc_registerClassPair")]
    public static partial void Register(nint newClass);

    [LibraryImport(Runtime, EntryPoint = "class_addMethod", StringMarshalling = StringMarshalling.Utf8)]
    public static partial byte AddMethod(nint to, nint selector, void* function, string types);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial nint Send(nint to, nint selector);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial nint Send(nint to, nint selector, nint argument);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial void SendByte(nint to, nint selector, byte argument);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial nint SendRect(nint to, nint selector, Rect argument);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial void SendSize(nint to, nint selector, Size argument);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial nint SendTracking(nint to, nint selector, Rect rect, nuint options, nint owner, nint information);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial double SendForDouble(nint to, nint selector);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial Point SendForPoint(nint to, nint selector);

    [LibraryImport(Runtime, EntryPoint = "objc_msgSend")]
    public static partial Point SendForPoint(nint to, nint selector, Point point, nint view);

    [LibraryImport(Graphics, EntryPoint = "CGColorSpaceCreateDeviceRGB")]
    public static partial nint NewColourSpace();

    [LibraryImport(Graphics, EntryPoint = "CGBitmapContextCreate")]
    public static partial nint NewBitmap(void* pixels, nuint width, nuint height, nuint bitsPerColour, nuint strideBytes, nint colourSpace, uint format);

    [LibraryImport(Graphics, EntryPoint = "CGBitmapContextCreateImage")]
    public static partial nint NewImage(nint bitmap);

    [LibraryImport(Graphics, EntryPoint = "CGContextDrawImage")]
    public static partial void DrawImage(nint context, Rect where, nint image);

    [LibraryImport(Graphics, EntryPoint = "CGContextTranslateCTM")]
    public static partial void Translate(nint context, double x, double y);

    [LibraryImport(Graphics, EntryPoint = "CGContextScaleCTM")]
    public static partial void Scale(nint context, double x, double y);

    [LibraryImport(Foundation, EntryPoint = "CFRelease")]
    public static partial void Release(nint thing);

    [LibraryImport(Foundation, EntryPoint = "CFRunLoopGetMain")]
    public static partial nint MainLoop();

    [LibraryImport(Foundation, EntryPoint = "CFAbsoluteTimeGetCurrent")]
    public static partial double Now();

    [LibraryImport(Foundation, EntryPoint = "CFRunLoopTimerCreate")]
    public static partial nint NewTimer(
        nint allocator, double first, double interval, nuint flags, nint order, delegate* unmanaged<nint, nint, void> call, TimerContext* context);

    [LibraryImport(Foundation, EntryPoint = "CFRunLoopAddTimer")]
    public static partial void AddTimer(nint loop, nint timer, nint mode);

    [LibraryImport(Foundation, EntryPoint = "CFRunLoopTimerInvalidate")]
    public static partial void EndTimer(nint timer);

    /// <summary>The mode in which a timer also runs while the mouse is held: kCFRunLoopCommonModes.</summary>
    public static nint CommonModes() => *(nint*)NativeLibrary.GetExport(NativeLibrary.Load(Foundation), "kCFRunLoopCommonModes");

    public static string Text(nint nsString)
    {
        var utf8 = (byte*)Send(nsString, Selector("UTF8String"));
        return utf8 == null ? "" : Encoding.UTF8.GetString(MemoryMarshal.CreateReadOnlySpanFromNullTerminated(utf8));
    }

    public struct Point
    {
        public double X, Y;
    }

    public struct Size
    {
        public double Width, Height;
    }

    public struct Rect
    {
        public double X, Y, Width, Height;
    }

    /// <summary>CFRunLoopTimerContext.</summary>
    public struct TimerContext
    {
        public nint Version, Information, Retain, Release, Describe;
    }
}
