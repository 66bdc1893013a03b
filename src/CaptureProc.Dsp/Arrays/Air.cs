namespace CaptureProc.Dsp.Arrays;

/// <summary>The speed of sound in air.</summary>
public static class Air
{
    /// <summary>c = 343.2·√(T/293.15 K) in m/s.</summary>
    /// <remarks>
    /// Thread: [any]. Range: −40…60 °C; out of range throws.
    /// Source: ISO 9613-1, equation A.5. Humidity is left out: at 20 °C and 50 % it adds 0.23 %.
    /// </remarks>
    public static double SpeedOfSoundMps(double temperatureC)
    {
        if (!(temperatureC is >= -40 and <= 60))
            throw new ArgumentOutOfRangeException(nameof(temperatureC), temperatureC, "The temperature has to lie between -40 and 60 °C.");
        return 343.2 * Math.Sqrt((temperatureC + 273.15) / 293.15);
    }
}
