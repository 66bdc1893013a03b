using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen;

/// <summary>A rectangle of the picture that has been drawn anew, in pixels.</summary>
public readonly record struct DrawnPart(int X, int Y, int Width, int Height);

/// <summary>A window's content: controls on a ground, one of them with the keyboard, perhaps something above them.</summary>
/// <remarks>
/// Thread: [main]. What does not move is drawn once into a ground of its own; a control that changes is drawn on a copy of its piece of
/// it. So a frame costs what has changed, and nothing when nothing has. No managed memory is allocated by a frame.
/// A surface of another shape than the layout is letterboxed.
/// </remarks>
public sealed unsafe partial class Scene(float width, float height) : IDisposable
{
    private const int MostParts = 48;

    private readonly List<Control> controls = [];
    private readonly DrawnPart[] parts = new DrawnPart[MostParts];
    private int partCount;
    private nint pixels;
    private int pixelWidth, pixelHeight, strideBytes;
    private float scale = 1, left, top;
    private Canvas? front, back;
    private Picture? ground;
    private bool groundIsStale = true;
    private Palette palette = Palette.Usual;

    public float Width => width;

    public float Height => height;

    public IReadOnlyList<Control> Controls => controls;

    /// <summary>Pixels for one unit, as the surface has it.</summary>
    public float Scale => scale;

    public Palette Palette
    {
        get => palette;
        set
        {
            if (ReferenceEquals(palette, value))
                return;
            palette = value;
            RenewGround();
        }
    }

    /// <summary>Draws the panels and captions below the controls.</summary>
    public Action<Canvas, Palette>? DrawBackground { get; set; }

    public T Add<T>(T control)
        where T : Control
    {
        control.Scene = this;
        controls.Add(control);
        return control;
    }

    /// <summary>Draws everything anew at the next frame.</summary>
    public void RenewGround() => groundIsStale = true;

    /// <summary>Where to draw from now on.</summary>
    public void UseSurface(nint to, int surfaceWidth, int surfaceHeight, int surfaceStrideBytes)
    {
        LeaveSurface();
        (pixels, pixelWidth, pixelHeight, strideBytes) = (to, surfaceWidth, surfaceHeight, surfaceStrideBytes);
        scale = Math.Min(surfaceWidth / width, surfaceHeight / height);
        left = MathF.Round((surfaceWidth - width * scale) / 2);
        top = MathF.Round((surfaceHeight - height * scale) / 2);
        ground = new Picture(surfaceWidth, surfaceHeight);
        front = new Canvas(pixels, pixelWidth, pixelHeight, strideBytes, scale, left, top);
        back = new Canvas(ground.Pixels, pixelWidth, pixelHeight, ground.StrideBytes, scale, left, top);
        groundIsStale = true;
    }

    public void LeaveSurface()
    {
        front?.Dispose();
        back?.Dispose();
        ground?.Dispose();
        (front, back, ground) = (null, null, null);
    }

    public void Dispose() => LeaveSurface();

    /// <summary>Draws what shows differently; the parts of the surface that have changed.</summary>
    public ReadOnlySpan<DrawnPart> Draw(long milliseconds)
    {
        partCount = 0;
        if (front == null || back == null)
            return default;
        now = milliseconds;
        foreach (var control in System.Runtime.InteropServices.CollectionsMarshal.AsSpan(controls))
            if (control.IsVisible)
                control.Refresh(milliseconds);
        RefreshOverlay();
        if (groundIsStale)
        {
            groundIsStale = false;
            DrawGround();
            Repaint(new Box(-left / scale, -top / scale, pixelWidth / scale, pixelHeight / scale));
            foreach (var control in System.Runtime.InteropServices.CollectionsMarshal.AsSpan(controls))
                control.NeedsDrawing = false;
            overlayNeedsDrawing = false;
            uncovered = null;
            return parts.AsSpan(0, partCount);
        }
        if (uncovered is { } region)
        {
            uncovered = null;
            Repaint(region);
        }
        foreach (var control in System.Runtime.InteropServices.CollectionsMarshal.AsSpan(controls))
        {
            if (!control.NeedsDrawing)
                continue;
            control.NeedsDrawing = false;
            if (control.IsVisible)
                Repaint(control.Reach);
        }
        if (overlayNeedsDrawing)
        {
            overlayNeedsDrawing = false;
            if (overlay != null)
                Repaint(overlay.Reach);
        }
        return parts.AsSpan(0, partCount);
    }

    private void DrawGround()
    {
        back!.Clear(palette.Ground);
        DrawBackground?.Invoke(back, palette);
        foreach (var control in System.Runtime.InteropServices.CollectionsMarshal.AsSpan(controls))
            if (control.IsVisible)
                control.DrawGround(back, palette);
    }

    private void Repaint(Box region)
    {
        var part = PixelsOf(region);
        if (part.Width <= 0 || part.Height <= 0)
            return;
        for (var y = part.Y; y < part.Y + part.Height; y++)
            Buffer.MemoryCopy(
                (byte*)ground!.Pixels + (long)y * ground.StrideBytes + part.X * 4L, (byte*)pixels + (long)y * strideBytes + part.X * 4L, part.Width * 4L, part.Width * 4L);
        var clip = new Box((part.X - left) / scale, (part.Y - top) / scale, part.Width / scale, part.Height / scale);
        front!.BeginClip(clip);
        foreach (var control in System.Runtime.InteropServices.CollectionsMarshal.AsSpan(controls))
        {
            if (!control.IsVisible || !control.Reach.Meets(clip))
                continue;
            control.Draw(front, palette);
            if (control.IsFocused && showsFocus)
                front.FrameRound(control.Box.Inside(-2.5f), 6, 2, palette.Hand);
        }
        if (overlay != null && overlay.Reach.Meets(clip))
            overlay.Draw(front, palette);
        front.EndClip();
        Note(part);
    }

    private DrawnPart PixelsOf(Box box)
    {
        var (x, y) = ((int)MathF.Floor(left + box.X * scale), (int)MathF.Floor(top + box.Y * scale));
        var (right, bottom) = ((int)MathF.Ceiling(left + box.Right * scale), (int)MathF.Ceiling(top + box.Bottom * scale));
        (x, y) = (Math.Max(0, x), Math.Max(0, y));
        return new DrawnPart(x, y, Math.Min(pixelWidth, right) - x, Math.Min(pixelHeight, bottom) - y);
    }

    private void Note(DrawnPart part)
    {
        if (partCount < MostParts)
        {
            parts[partCount++] = part;
            return;
        }
        // One part more than there is room for: the last two become one.
        var last = parts[^1];
        var (x, y) = (Math.Min(last.X, part.X), Math.Min(last.Y, part.Y));
        parts[^1] = new DrawnPart(x, y, Math.Max(last.X + last.Width, part.X + part.Width) - x, Math.Max(last.Y + last.Height, part.Y + part.Height) - y);
    }
}
