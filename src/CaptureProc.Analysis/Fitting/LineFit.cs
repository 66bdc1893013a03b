namespace CaptureProc.Analysis.Fitting;

/// <summary>A straight line y = a + b·x through points, by least squares, a point at a time.</summary>
/// <remarks>Thread: one at a time. The slope is no number while fewer than two different x have come.</remarks>
internal struct LineFit
{
    private double sx, sy, sxx, sxy;

    public int Count { get; private set; }

    public readonly double Slope => (Count * sxy - sx * sy) / (Count * sxx - sx * sx);

    public void Add(double x, double y)
    {
        Count++;
        (sx, sy, sxx, sxy) = (sx + x, sy + y, sxx + x * x, sxy + x * y);
    }

    /// <summary>Height of the line at x.</summary>
    public readonly double At(double x) => (sy + Slope * (Count * x - sx)) / Count;
}
