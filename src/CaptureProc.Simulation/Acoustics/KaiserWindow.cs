namespace CaptureProc.Simulation.Acoustics;

/// <summary>Kaiser's window: 1 in the middle, 0 from ±1 outwards.</summary>
/// <remarks>Thread: [any]. Allocates: never. Source: I0(β√(1−x²))/I0(β), Kaiser 1974 (from memory).</remarks>
public static class KaiserWindow
{
    public static double At(double x, double beta)
    {
        var inside = 1 - x * x;
        return inside <= 0 ? 0 : BesselI0(beta * Math.Sqrt(inside)) / BesselI0(beta);
    }

    /// <summary>The modified Bessel function of order 0, by its power series to the last digit.</summary>
    private static double BesselI0(double x)
    {
        var (sum, term) = (1.0, 1.0);
        for (var k = 1; term > 1e-17 * sum; k++)
        {
            term *= x / (2 * k) * (x / (2 * k));
            sum += term;
        }
        return sum;
    }
}
