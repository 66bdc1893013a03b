namespace CaptureProc.Dsp.Arrays;

/// <summary>Spherical Bessel functions j₀, j₁, j₂ of a real argument.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. Error: below 1e-12 absolute.
/// Closed forms lose digits for small x, where the ascending series (DLMF 10.53.1) takes over.
/// </remarks>
internal static class SphericalBessel
{
    // At x = 0.5 the closed form of j2 has lost about two digits to cancellation; eight terms of the series are exact to 1e-16.
    private const double SeriesBelow = 0.5;

    public static (double J0, double J1, double J2) Evaluate(double x)
    {
        if (Math.Abs(x) < SeriesBelow)
            return (Series(x, 0), Series(x, 1), Series(x, 2));
        var (sin, cos) = Math.SinCos(x);
        var j0 = sin / x;
        var j1 = (j0 - cos) / x;
        return (j0, j1, 3 * j1 / x - j0);
    }

    /// <summary>j₁(x)/x, which is 1/3 at 0.</summary>
    public static double J1OverX(double x) => Math.Abs(x) < SeriesBelow ? SeriesOverPower(x, 1) : Evaluate(x).J1 / x;

    private static double Series(double x, int n) => n switch { 0 => 1, 1 => x, _ => x * x } * SeriesOverPower(x, n);

    private static double SeriesOverPower(double x, int n)
    {
        var term = n switch { 0 => 1.0, 1 => 1.0 / 3, _ => 1.0 / 15 };
        var sum = term;
        for (var k = 1; k < 9; k++)
        {
            term *= -x * x / (2 * k * (2 * (n + k) + 1));
            sum += term;
        }
        return sum;
    }
}
