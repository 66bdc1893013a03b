using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Views.X11;

/// <summary>The few calls of libxcb that a window needs, as its headers xcb.h and xproto.h declare them.</summary>
/// <remarks>
/// Thread: [main], one connection each. libxcb rather than Xlib: an error there goes to one handler of the whole process, which by
/// default ends it. Here errors come as events of our own connection, and a window that is gone is only that.
/// </remarks>
internal static unsafe partial class Xcb
{
    private const string Library = "libxcb.so.1";

    public const byte KeyPress = 2, ButtonPress = 4, ButtonRelease = 5, MotionNotify = 6, LeaveNotify = 8, FocusIn = 9, FocusOut = 10;
    public const byte Expose = 12, VisibilityNotify = 15, DestroyNotify = 17, UnmapNotify = 18, MapNotify = 19, MappingNotify = 34;

    public const uint ConfigureWidth = 4, ConfigureHeight = 8;
    public const byte RevertToParent = 2, InputOutput = 1, ZPixmap = 2, LeastByteFirst = 0, TrueColor = 4, MapStateViewable = 2;

    // Bits of create_window's values, in their order: back pixmap, border pixel, bit gravity, event mask, colormap.
    public const uint CreateMask = 1 << 0 | 1 << 3 | 1 << 4 | 1 << 11 | 1 << 13;
    public const uint NorthWestGravity = 1;

    public const uint CursorAttribute = 1 << 14;

    // Key and button presses, releases of buttons, leaving, motion, exposure, visibility, structure, focus.
    public const uint EventMask = 1 << 0 | 1 << 2 | 1 << 3 | 1 << 5 | 1 << 6 | 1 << 15 | 1 << 16 | 1 << 17 | 1 << 21;
    public const uint KeyEventMask = 3;

    [LibraryImport(Library, EntryPoint = "xcb_connect")]
    public static partial nint Connect(byte* display, int* screen);

    [LibraryImport(Library, EntryPoint = "xcb_disconnect")]
    public static partial void Disconnect(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_connection_has_error")]
    public static partial int HasError(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_get_file_descriptor")]
    public static partial int FileDescriptor(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_flush")]
    public static partial void Flush(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_generate_id")]
    public static partial uint NewId(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_get_setup")]
    public static partial byte* Setup(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_get_maximum_request_length")]
    public static partial uint MaximumRequestWords(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_setup_roots_iterator")]
    public static partial Iterator Screens(byte* setup);

    [LibraryImport(Library, EntryPoint = "xcb_screen_next")]
    public static partial void NextScreen(Iterator* iterator);

    [LibraryImport(Library, EntryPoint = "xcb_screen_allowed_depths_iterator")]
    public static partial Iterator Depths(byte* screen);

    [LibraryImport(Library, EntryPoint = "xcb_depth_next")]
    public static partial void NextDepth(Iterator* iterator);

    [LibraryImport(Library, EntryPoint = "xcb_depth_visuals")]
    public static partial Visual* Visuals(byte* depth);

    [LibraryImport(Library, EntryPoint = "xcb_poll_for_event")]
    public static partial byte* PollForEvent(nint connection);

    [LibraryImport(Library, EntryPoint = "xcb_poll_for_reply")]
    public static partial int PollForReply(nint connection, uint request, byte** reply, byte** error);

    [LibraryImport(Library, EntryPoint = "xcb_discard_reply")]
    public static partial void DiscardReply(nint connection, uint request);

    [LibraryImport(Library, EntryPoint = "xcb_request_check")]
    public static partial byte* RequestCheck(nint connection, Cookie cookie);

    [LibraryImport(Library, EntryPoint = "xcb_get_geometry")]
    public static partial Cookie GetGeometry(nint connection, uint drawable);

    [LibraryImport(Library, EntryPoint = "xcb_get_geometry_reply")]
    public static partial byte* GetGeometryReply(nint connection, Cookie cookie, byte** error);

    [LibraryImport(Library, EntryPoint = "xcb_get_window_attributes")]
    public static partial Cookie GetWindowAttributes(nint connection, uint window);

    [LibraryImport(Library, EntryPoint = "xcb_query_extension")]
    public static partial Cookie QueryExtension(nint connection, ushort length, byte* name);

    [LibraryImport(Library, EntryPoint = "xcb_query_extension_reply")]
    public static partial byte* QueryExtensionReply(nint connection, Cookie cookie, byte** error);

    [LibraryImport(Library, EntryPoint = "xcb_get_keyboard_mapping")]
    public static partial Cookie GetKeyboardMapping(nint connection, byte first, byte count);

    [LibraryImport(Library, EntryPoint = "xcb_get_keyboard_mapping_reply")]
    public static partial byte* GetKeyboardMappingReply(nint connection, Cookie cookie, byte** error);

    [LibraryImport(Library, EntryPoint = "xcb_create_colormap")]
    public static partial Cookie CreateColormap(nint connection, byte alloc, uint colormap, uint window, uint visual);

    [LibraryImport(Library, EntryPoint = "xcb_free_colormap")]
    public static partial Cookie FreeColormap(nint connection, uint colormap);

    [LibraryImport(Library, EntryPoint = "xcb_create_window")]
    public static partial Cookie CreateWindow(
        nint connection, byte depth, uint window, uint parent, short x, short y, ushort width, ushort height, ushort border, ushort kind, uint visual, uint mask, uint* values);

    [LibraryImport(Library, EntryPoint = "xcb_destroy_window")]
    public static partial Cookie DestroyWindow(nint connection, uint window);

    [LibraryImport(Library, EntryPoint = "xcb_map_window")]
    public static partial Cookie MapWindow(nint connection, uint window);

    [LibraryImport(Library, EntryPoint = "xcb_unmap_window")]
    public static partial Cookie UnmapWindow(nint connection, uint window);

    [LibraryImport(Library, EntryPoint = "xcb_configure_window")]
    public static partial Cookie ConfigureWindow(nint connection, uint window, ushort mask, uint* values);

    [LibraryImport(Library, EntryPoint = "xcb_create_gc")]
    public static partial Cookie CreateContext(nint connection, uint context, uint drawable, uint mask, uint* values);

    [LibraryImport(Library, EntryPoint = "xcb_free_gc")]
    public static partial Cookie FreeContext(nint connection, uint context);

    [LibraryImport(Library, EntryPoint = "xcb_put_image")]
    public static partial Cookie PutImage(
        nint connection, byte format, uint drawable, uint context, ushort width, ushort height, short x, short y, byte leftPad, byte depth, uint length, byte* data);

    [LibraryImport(Library, EntryPoint = "xcb_get_image")]
    public static partial Cookie GetImage(nint connection, byte format, uint drawable, short x, short y, ushort width, ushort height, uint planes);

    [LibraryImport(Library, EntryPoint = "xcb_get_image_reply")]
    public static partial byte* GetImageReply(nint connection, Cookie cookie, byte** error);

    [LibraryImport(Library, EntryPoint = "xcb_query_tree")]
    public static partial Cookie QueryTree(nint connection, uint window);

    [LibraryImport(Library, EntryPoint = "xcb_query_tree_reply")]
    public static partial byte* QueryTreeReply(nint connection, Cookie cookie, byte** error);

    [LibraryImport(Library, EntryPoint = "xcb_set_input_focus")]
    public static partial Cookie SetInputFocus(nint connection, byte revertTo, uint window, uint time);

    [LibraryImport(Library, EntryPoint = "xcb_open_font")]
    public static partial Cookie OpenFont(nint connection, uint font, ushort length, byte* name);

    [LibraryImport(Library, EntryPoint = "xcb_close_font")]
    public static partial Cookie CloseFont(nint connection, uint font);

    [LibraryImport(Library, EntryPoint = "xcb_create_glyph_cursor")]
    public static partial Cookie CreateGlyphCursor(
        nint connection, uint cursor, uint font, uint maskFont, ushort glyph, ushort mask, ushort red, ushort green, ushort blue, ushort backRed, ushort backGreen, ushort backBlue);

    [LibraryImport(Library, EntryPoint = "xcb_free_cursor")]
    public static partial Cookie FreeCursor(nint connection, uint cursor);

    [LibraryImport(Library, EntryPoint = "xcb_change_window_attributes")]
    public static partial Cookie ChangeWindowAttributes(nint connection, uint window, uint mask, uint* values);

    [LibraryImport(Library, EntryPoint = "xcb_send_event")]
    public static partial Cookie SendEvent(nint connection, byte propagate, uint window, uint mask, byte* content);

    [LibraryImport(Library, EntryPoint = "xcb_change_property")]
    public static partial Cookie ChangeProperty(nint connection, byte mode, uint window, uint property, uint type, byte format, uint length, byte* data);

    [LibraryImport("libc", EntryPoint = "free")]
    public static partial void Free(void* memory);

    public struct Cookie
    {
        public uint Sequence;
    }

    public struct Iterator
    {
        public byte* Data;
        public int Remaining;
        public int Index;
    }

    /// <summary>xcb_visualtype_t.</summary>
    public struct Visual
    {
        public uint Id;
        public byte Kind;
        public byte BitsPerColour;
        public ushort ColormapEntries;
        public uint RedMask;
        public uint GreenMask;
        public uint BlueMask;
        public uint Padding;
    }
}
