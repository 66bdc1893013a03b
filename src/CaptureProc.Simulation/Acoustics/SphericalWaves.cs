using System.Numerics;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>Spherical Bessel functions j and outgoing Hankel functions h of orders 0 to N, with their derivatives.</summary>
/// <remarks>
/// Thread: [any]. Range: x &gt; 0. With time as e^{+jωt} the outgoing wave is h = j − i·y.
/// y climbs by its recurrence, which is stable upwards; j comes down from far above N (Miller) and is set by j₀ or j₁, whichever is larger.
/// Source: DLMF 10.47-10.51 (10.51.1 for the recurrence, 10.51.2 for the derivative).
/// </remarks>
public static class SphericalWaves
{
    /// <summary>Fills j, j′, h and h′ of orders 0 to length − 1.</summary>
    public static void Evaluate(double x, Span<double> j, Span<double> slopeOfJ, Span<Complex> h, Span<Complex> slopeOfH)
    {
        if (!(x > 0))
            throw new ArgumentOutOfRangeException(nameof(x), x, "The argument is above 0.");
        var count = j.Length;
        Standing(x, j);
        var (sin, cos) = Math.SinCos(x);
        var (below, here) = (sin / x, -cos / x); // y₋₁ = j₀, y₀ = −cos x / x
        var previous = new Complex(cos / x, -below); // j₋₁ = cos x / x
        for (var n = 0; n < count; n++)
        {
            h[n] = new Complex(j[n], -here);
            slopeOfH[n] = previous - (n + 1) / x * h[n];
            slopeOfJ[n] = slopeOfH[n].Real;
            previous = h[n];
            (below, here) = (here, (2 * n + 1) / x * here - below);
        }
    }

    private static void Standing(double x, Span<double> j)
    {
        var start = j.Length + 20 + (int)x;
        var (above, here) = (0.0, 1e-280);
        var (down0, down1) = (0.0, 0.0);
        for (var n = start; n >= 0; n--)
        {
            if (n < j.Length)
                j[n] = here;
            if (n == 1)
                down1 = here;
            if (n == 0)
                down0 = here;
            (above, here) = (here, (2 * n + 1) / x * here - above);
            if (Math.Abs(here) > 1e200)
            {
                (above, here) = (above * 1e-250, here * 1e-250);
                for (var i = n; i < j.Length; i++)
                    j[i] *= 1e-250;
                (down0, down1) = (down0 * 1e-250, down1 * 1e-250);
            }
        }
        var (sin, cos) = Math.SinCos(x);
        var (j0, j1) = (sin / x, x < 1e-3 ? x / 3 : (sin / x - cos) / x);
        var scale = Math.Abs(j0) > Math.Abs(j1) ? j0 / down0 : j1 / down1;
        for (var i = 0; i < j.Length; i++)
            j[i] *= scale;
    }
}
