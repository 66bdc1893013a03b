namespace CaptureProc.Simulation.Disturbances;

/// <summary>What sounds or hums all the time, and rises and falls with the noise floor of the scene.</summary>
/// <param name="OverNoiseDb">RMS in a channel over the RMS of that channel's microphone noise.</param>
public abstract record Background(double OverNoiseDb);

/// <summary>Mains hum with harmonics, the same in all channels but for its strength and sign in each.</summary>
/// <param name="MainsHz">A little off the nominal 50 or 60 Hz.</param>
/// <param name="HarmonicDb">Level of harmonic 1, 2, 3 … relative to each other.</param>
/// <remarks>Odd harmonics stand out of rectifiers and saturated cores (common practice, no source).</remarks>
public sealed record Hum(double OverNoiseDb, double MainsHz, IReadOnlyList<double> HarmonicDb) : Background(OverNoiseDb);

/// <summary>A sound that comes from everywhere: ventilation, an audience, traffic.</summary>
/// <param name="LowHz">Rises with 6 dB an octave below.</param>
/// <param name="HighHz">Falls with 6 dB an octave above, 12 dB from two octaves higher on.</param>
/// <remarks>
/// Capsules of one array hear one field of first order, right as long as the array is small for the wave; microphones apart hear
/// independent ones, right above some 100 Hz.
/// </remarks>
public sealed record DiffuseNoise(double OverNoiseDb, double LowHz, double HighHz) : Background(OverNoiseDb)
{
    /// <summary>Air conditioning (spectrum: common practice, no source).</summary>
    public static DiffuseNoise Ventilation(double overNoiseDb) => new(overNoiseDb, 25, 200);

    /// <summary>People who breathe, rustle and murmur (common practice, no source).</summary>
    public static DiffuseNoise Audience(double overNoiseDb) => new(overNoiseDb, 200, 1200);
}

/// <summary>Moving air at the capsules: gusts of rumble, independent in every capsule since the eddies are smaller than the array.</summary>
/// <remarks>Common practice, no source.</remarks>
public sealed record Wind(double OverNoiseDb) : Background(OverNoiseDb);
