namespace CaptureProc.Simulation.Signals;

/// <summary>A band-pass of second order with 0 dB at its middle, one sample at a time.</summary>
/// <remarks>Thread: one at a time. Source: R. Bristow-Johnson's audio EQ cookbook, BPF with constant peak gain (from memory).</remarks>
public struct Resonance
{
    private readonly double b0, a1, a2;
    private double x1, x2, y1, y2;

    public Resonance(double middleHz, double q, double sampleRateHz)
    {
        var (sin, cos) = Math.SinCos(2 * Math.PI * middleHz / sampleRateHz);
        var alpha = sin / (2 * q);
        (b0, a1, a2) = (alpha / (1 + alpha), -2 * cos / (1 + alpha), (1 - alpha) / (1 + alpha));
    }

    public double Next(double x)
    {
        var y = b0 * (x - x2) - a1 * y1 - a2 * y2;
        (x2, x1, y2, y1) = (x1, x, y1, y);
        return y;
    }
}
