namespace CaptureProc.Dsp.Delay;

/// <summary>The impulse response of the ideal interpolator.</summary>
public static class Sinc
{
    /// <summary>sin(πx)/(πx), exactly 0 at whole x other than 0.</summary>
    public static double At(double x) => Math.Abs(x) < 1e-9 ? 1 : double.SinPi(x) / (Math.PI * x);
}
