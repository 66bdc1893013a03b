using SkiaSharp;

namespace CaptureProc.Screen.Drawing;

/// <summary>A fixed number of points that are drawn as one line and may move from frame to frame.</summary>
/// <remarks>Thread: [main]. Allocates: when made.</remarks>
public sealed class Polyline(int count)
{
    private readonly SKPoint[] points = new SKPoint[count];

    public int Count => points.Length;

    internal SKPoint[] Placed { get; } = new SKPoint[count];

    public void Set(int index, float x, float y) => points[index] = new SKPoint(x, y);

    internal void Place(float scale, float left, float top)
    {
        for (var i = 0; i < points.Length; i++)
            Placed[i] = new SKPoint(left + points[i].X * scale, top + points[i].Y * scale);
    }
}
