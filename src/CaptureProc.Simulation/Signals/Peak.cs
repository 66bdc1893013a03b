namespace CaptureProc.Simulation.Signals;

/// <summary>The largest absolute sample of a sound.</summary>
public static class Peak
{
    public static double Of(ReadOnlySpan<double> sound)
    {
        var peak = 0.0;
        foreach (var sample in sound)
            peak = Math.Max(peak, Math.Abs(sample));
        return peak;
    }

    /// <summary>Brings a sound to a peak of 1 in place and hands it back; silence stays silence.</summary>
    public static double[] ToOne(double[] sound)
    {
        var peak = Of(sound);
        if (peak > 0)
            Gain.Apply(sound, 1 / peak);
        return sound;
    }
}
