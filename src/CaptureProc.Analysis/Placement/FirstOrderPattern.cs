namespace CaptureProc.Analysis.Placement;

/// <summary>A first-order microphone: α + (1−α)·cos γ.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. Range: α 0 (figure-eight) … 0.5 (cardioid) … 1 (omni).
/// Source: Q is 1 over the mean of the squared pattern over the sphere; in closed form 1/(α² + (1−α)²/3).
/// </remarks>
public readonly record struct FirstOrderPattern
{
    public static readonly FirstOrderPattern Omni = new(1);
    public static readonly FirstOrderPattern Cardioid = new(0.5);
    public static readonly FirstOrderPattern FigureEight = new(0);

    public FirstOrderPattern(double alpha)
    {
        if (!(alpha is >= 0 and <= 1))
            throw new ArgumentOutOfRangeException(nameof(alpha), alpha, "The pattern is a number from 0 (figure-eight) to 1 (omni).");
        Alpha = alpha;
    }

    public double Alpha { get; }

    /// <summary>How much less of a diffuse field it takes up than an omni of the same sensitivity on axis, in power.</summary>
    public double Directivity => 1 / (Alpha * Alpha + (1 - Alpha) * (1 - Alpha) / 3);

    public double DirectivityIndexDb => 10 * Math.Log10(Directivity);

    /// <summary>How many times farther than an omni it may stand for the same share of room: √Q.</summary>
    public double DistanceFactor => Math.Sqrt(Directivity);

    /// <summary>Sensitivity at an angle from the axis, relative to the axis; negative = opposite polarity.</summary>
    public double At(double angleDeg) => Alpha + (1 - Alpha) * Math.Cos(angleDeg * Math.PI / 180);
}
