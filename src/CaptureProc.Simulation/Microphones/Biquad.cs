using System.Numerics;

namespace CaptureProc.Simulation.Microphones;

/// <summary>A filter of second order (or first) whose poles and zeros lie inside the unit circle or on it: minimum phase.</summary>
/// <remarks>
/// Thread: one at a time. Coefficients by the bilinear transform, the corner kept where it is.
/// Source: R. Bristow-Johnson's audio EQ cookbook (from memory); first order: Butterworth's.
/// </remarks>
public struct Biquad
{
    private double b0, b1, b2, a1, a2;
    private double s1, s2;

    public static Biquad LowCut(double cornerHz, double q, double sampleRateHz)
    {
        var (cos, alpha) = Parts(cornerHz, q, sampleRateHz);
        return Normalised((1 + cos) / 2, -(1 + cos), (1 + cos) / 2, 1 + alpha, -2 * cos, 1 - alpha);
    }

    public static Biquad RollOff(double cornerHz, double q, double sampleRateHz)
    {
        var (cos, alpha) = Parts(cornerHz, q, sampleRateHz);
        return Normalised((1 - cos) / 2, 1 - cos, (1 - cos) / 2, 1 + alpha, -2 * cos, 1 - alpha);
    }

    /// <summary>A rise (or dip) of a number of decibels in the middle, 0 dB far from it.</summary>
    public static Biquad Bell(double middleHz, double gainDb, double q, double sampleRateHz)
    {
        var (cos, alpha) = Parts(middleHz, q, sampleRateHz);
        var root = Math.Pow(10, gainDb / 40);
        return Normalised(1 + alpha * root, -2 * cos, 1 - alpha * root, 1 + alpha / root, -2 * cos, 1 - alpha / root);
    }

    public static Biquad FirstOrderLowCut(double cornerHz, double sampleRateHz)
    {
        var k = Math.Tan(Math.PI * cornerHz / sampleRateHz);
        return Normalised(1, -1, 0, 1 + k, k - 1, 0);
    }

    public static Biquad FirstOrderRollOff(double cornerHz, double sampleRateHz)
    {
        var k = Math.Tan(Math.PI * cornerHz / sampleRateHz);
        return Normalised(k, k, 0, 1 + k, k - 1, 0);
    }

    /// <summary>0 dB far below the corner, a gain far above it; half of the decibels at the corner.</summary>
    public static Biquad FirstOrderShelf(double cornerHz, double gainAboveDb, double sampleRateHz)
    {
        var (k, root) = (Math.Tan(Math.PI * cornerHz / sampleRateHz), Math.Pow(10, gainAboveDb / 40));
        // (g·s + ω√g)/(s + ω√g) with √g = root: √g at s = jω.
        return Normalised(root * root + k * root, k * root - root * root, 0, 1 + k * root, k * root - 1, 0);
    }

    public readonly Complex At(double frequencyHz, double sampleRateHz)
    {
        var z = Complex.FromPolarCoordinates(1, -2 * Math.PI * frequencyHz / sampleRateHz);
        return (b0 + z * (b1 + z * b2)) / (1 + z * (a1 + z * a2));
    }

    public double Next(double x)
    {
        var y = b0 * x + s1;
        s1 = b1 * x - a1 * y + s2;
        s2 = b2 * x - a2 * y;
        return y;
    }

    private static (double Cos, double Alpha) Parts(double hz, double q, double sampleRateHz)
    {
        if (!(hz > 0 && hz < sampleRateHz / 2))
            throw new ArgumentOutOfRangeException(nameof(hz), hz, $"A corner lies between 0 and {sampleRateHz / 2} Hz.");
        var (sin, cos) = Math.SinCos(2 * Math.PI * hz / sampleRateHz);
        return (cos, sin / (2 * q));
    }

    private static Biquad Normalised(double b0, double b1, double b2, double a0, double a1, double a2) =>
        new() { b0 = b0 / a0, b1 = b1 / a0, b2 = b2 / a0, a1 = a1 / a0, a2 = a2 / a0 };
}
