namespace CaptureProc.Dsp.LineUp;

/// <summary>How many standard errors hold 95 % of the cases.</summary>
public static class Confidence95
{
    private const double Normal = 1.959963985;

    /// <summary>Student's factor for a standard error that was itself estimated with some degrees of freedom, 3 or more.</summary>
    /// <remarks>
    /// Expansion about the normal distribution, within 0.4 % from 4 degrees of freedom on (checked against MathNet in the tests).
    /// Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5.
    /// </remarks>
    public static double Factor(double degreesOfFreedom)
    {
        var z = Normal;
        var n = Math.Max(3, degreesOfFreedom);
        var (z2, z3) = (z * z, z * z * z);
        return z
            + (z3 + z) / (4 * n)
            + (5 * z3 * z2 + 16 * z3 + 3 * z) / (96 * n * n)
            + (3 * z3 * z2 * z2 + 19 * z3 * z2 + 17 * z3 - 15 * z) / (384 * n * n * n);
    }
}
