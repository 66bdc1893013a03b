namespace CaptureProc.Screen;

/// <summary>A rectangle in units of the layout; x grows to the right, y downwards.</summary>
public readonly record struct Box(float X, float Y, float Width, float Height)
{
    public float Right => X + Width;

    public float Bottom => Y + Height;

    public float CentreX => X + Width / 2;

    public float CentreY => Y + Height / 2;

    public bool Contains(float x, float y) => x >= X && x < Right && y >= Y && y < Bottom;

    public bool Meets(Box other) => X < other.Right && other.X < Right && Y < other.Bottom && other.Y < Bottom;

    /// <summary>Smaller by this much on every side; larger for a negative number.</summary>
    public Box Inside(float by) => new(X + by, Y + by, Math.Max(0, Width - 2 * by), Math.Max(0, Height - 2 * by));

    public Box Common(Box other)
    {
        var (x, y) = (Math.Max(X, other.X), Math.Max(Y, other.Y));
        return new Box(x, y, Math.Max(0, Math.Min(Right, other.Right) - x), Math.Max(0, Math.Min(Bottom, other.Bottom) - y));
    }
}
