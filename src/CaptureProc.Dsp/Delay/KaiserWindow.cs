namespace CaptureProc.Dsp.Delay;

/// <summary>The Kaiser window I0(β·√(1 − u²)) / I0(β) for u in −1..1, zero outside.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. Error: a few rounding steps of a double.
/// Source: Kaiser and Schafer, On the use of the I0-sinh window for spectrum analysis, IEEE Trans. ASSP 28(1), 1980 (from memory).
/// </remarks>
public readonly struct KaiserWindow(double beta)
{
    private readonly double scale = 1 / BesselI0(beta);

    /// <param name="u">Place in the window; −1 and 1 are its ends.</param>
    public double Evaluate(double u)
    {
        var inside = 1 - u * u;
        return inside < 0 ? 0 : scale * BesselI0(beta * Math.Sqrt(inside));
    }

    // I0(x) = Σ ((x/2)^k / k!)²: all terms positive, so nothing cancels; some thirty terms for the arguments of a window.
    private static double BesselI0(double x)
    {
        var (sum, term) = (1.0, 1.0);
        var quarterSquare = x * x / 4;
        for (var k = 1; term > sum * 1e-17; k++)
        {
            term *= quarterSquare / (k * (double)k);
            sum += term;
        }

        return sum;
    }
}
