using System.Runtime.InteropServices;
using System.Text;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>A plug-in's view in this host.</summary>
/// <remarks>Thread: [main]. Dispose before the effect that it belongs to.</remarks>
public sealed unsafe class HostedView : IDisposable
{
    private readonly ComReference<IPlugView> view;
    private bool isAttached;

    private HostedView(ComReference<IPlugView> view) => this.view = view;

    /// <summary>The raw interface; lent, not counted.</summary>
    public IPlugView* View => view.Pointer;

    /// <summary>Null where the effect has no view.</summary>
    public static HostedView? TryMake(HostedEffect effect)
    {
        fixed (byte* name = "editor"u8)
        {
            var made = ComReference<IPlugView>.Own(effect.Controller->Table->CreateView(effect.Controller, name));
            return made == null ? null : new HostedView(made);
        }
    }

    public (int Width, int Height) Size
    {
        get
        {
            ViewRect rect;
            return view.Pointer->Table->GetSize(view.Pointer, &rect) == Result.Ok ? (rect.Right - rect.Left, rect.Bottom - rect.Top) : (0, 0);
        }
    }

    /// <summary>Puts the view into a window; false where it refuses.</summary>
    public bool Attach(HostRunLoop loop, uint window)
    {
        view.Pointer->Table->SetFrame(view.Pointer, loop.Frame);
        fixed (byte* type = "X11EmbedWindowID"u8)
            isAttached = view.Pointer->Table->Attached(view.Pointer, (void*)(nuint)window, type) == Result.Ok;
        return isAttached;
    }

    public void Resize(int width, int height)
    {
        var rect = new ViewRect { Right = width, Bottom = height };
        view.Pointer->Table->OnSize(view.Pointer, &rect);
    }

    /// <summary>The size that the view would rather have than this one.</summary>
    public (int Width, int Height) Constrain(int width, int height)
    {
        var rect = new ViewRect { Right = width, Bottom = height };
        view.Pointer->Table->CheckSizeConstraint(view.Pointer, &rect);
        return (rect.Right, rect.Bottom);
    }

    public bool SetContentScale(float factor)
    {
        using var scale = ComReference<IPlugViewContentScaleSupport>.Query(view.Pointer, IPlugViewContentScaleSupport.Iid);
        return scale != null && scale.Pointer->Table->SetContentScaleFactor(scale.Pointer, factor) == Result.Ok;
    }

    /// <summary>A key by the host's own way, as <c>keycodes.h</c> counts them; true when the view took it.</summary>
    public bool Key(char character, short code, short modifiers = 0) =>
        view.Pointer->Table->OnKeyDown(view.Pointer, character, code, modifiers) == Result.True;

    public void Detach()
    {
        if (!isAttached)
            return;
        isAttached = false;
        view.Pointer->Table->Removed(view.Pointer);
        view.Pointer->Table->SetFrame(view.Pointer, null);
    }

    public void Dispose()
    {
        Detach();
        view.Dispose();
    }
}
