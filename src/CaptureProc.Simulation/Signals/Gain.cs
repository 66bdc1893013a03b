namespace CaptureProc.Simulation.Signals;

/// <summary>Decibels of a pressure ratio, and their effect.</summary>
public static class Gain
{
    public static double FromDb(double db) => Math.Pow(10, db / 20);

    public static double ToDb(double ratio) => 20 * Math.Log10(ratio);

    public static void Apply(Span<double> sound, double gain)
    {
        for (var i = 0; i < sound.Length; i++)
            sound[i] *= gain;
    }
}
