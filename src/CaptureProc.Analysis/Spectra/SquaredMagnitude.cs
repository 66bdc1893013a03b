using System.Numerics;

namespace CaptureProc.Analysis.Spectra;

/// <summary>|z|² without the square root that <see cref="Complex.Abs"/> would take first.</summary>
internal static class SquaredMagnitude
{
    public static double Of(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;
}
