using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Views.Mac;
using CaptureProc.Vst3.Views.Windows;
using CaptureProc.Vst3.Views.X11;

namespace CaptureProc.Vst3.Views;

/// <summary>A view as the host sees it.</summary>
/// <remarks>
/// Thread: [main]. Hosts differ in their order of calls: a window may be attached before anybody has asked for its size, resized
/// without having been asked whether it likes that, and only hidden when the user closes it. None of it matters here.
/// The component stays alive as long as the host holds the view.
/// </remarks>
internal sealed unsafe partial class ViewComponent : ComObject, IViewWindow
{
    private static readonly InterfaceMap Map = new();
    private static readonly int ViewSlot = Map.Add(BuildViewTable(), IPlugView.Iid);
    private static readonly int ScaleSlot = Map.Add(BuildScaleTable(), IPlugViewContentScaleSupport.Iid);

    private readonly EffectComponent component;
    private readonly EffectView view;
    private NativeWindow? window;
    private RunLoopLink? runLoop;
    private IPlugFrame* frame;
    private double contentScale = 1;
    private (int Width, int Height)? given;

    public ViewComponent(EffectComponent component, EffectView view)
        : base(Map)
    {
        (this.component, this.view) = (component, view);
        component.AddRef();
    }

    /// <summary>How hosts call the kind of window that this platform has.</summary>
    public static string PlatformType =>
        OperatingSystem.IsWindows() ? "HWND" : OperatingSystem.IsMacOS() ? "NSView" : "X11EmbedWindowID";

    public void RequestPreferredSize()
    {
        if (frame == null)
            return;
        var rect = RectOf(PreferredSize);
        frame->Table->ResizeView(frame, (IPlugView*)Pointer(ViewSlot), &rect);
    }

    public void UseKeyboard(bool take) => window?.UseKeyboard(take);

    public void ShowPointer(ViewPointer shape) => window?.ShowPointer(shape);

    public bool ShowHostMenu(int parameter, int x, int y) => component.ShowHostMenu((IPlugView*)Pointer(ViewSlot), parameter, x, y);

    protected override void OnReleased()
    {
        Detach();
        view.Dispose();
        component.Release();
    }

    private (int Width, int Height) PreferredSize => SizeAt(contentScale * view.PreferredScale);

    private bool Attach(void* parent)
    {
        Detach();
        var size = given ?? PreferredSize;
        if (OperatingSystem.IsWindows())
            window = WindowsWindow.TryMake((nint)parent, size.Width, size.Height, view, component.TellNews);
        else if (OperatingSystem.IsMacOS())
            window = CocoaWindow.Make((nint)parent, size.Width, size.Height, view, component.TellNews);
        else
            window = AttachToX(parent, size.Width, size.Height);
        if (window != null)
            view.Window = this;
        return window != null;
    }

    private XcbWindow? AttachToX(void* parent, int width, int height)
    {
        // Without the host's loop nobody would ever call us on its thread.
        if (RunLoopLink.TryMake(frame) is not { } loop)
            return null;
        var made = XcbWindow.TryMake((uint)(nuint)parent, width, height, view);
        if (made == null)
        {
            loop.Dispose();
            return null;
        }
        runLoop = loop;
        loop.Start(made.FileDescriptor, () =>
        {
            made.Turn();
            // A window's timer runs on the host's own thread: the safest moment to tell it what has changed.
            component.TellNews();
        });
        return made;
    }

    private void Detach()
    {
        runLoop?.Dispose();
        runLoop = null;
        var closing = window;
        window = null;
        if (closing == null)
            return;
        view.Window = null;
        view.LeaveSurface();
        closing.Dispose();
    }

    private (int Width, int Height) SizeAt(double scale) =>
        ((int)Math.Round(view.NaturalSize.Width * scale), (int)Math.Round(view.NaturalSize.Height * scale));

    private static ViewRect RectOf((int Width, int Height) size) => new() { Right = size.Width, Bottom = size.Height };

    private static ViewComponent Self(void* self) => From<ViewComponent>(self);
}
