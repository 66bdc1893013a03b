namespace CaptureProc.Simulation.Signals;

/// <summary>What else makes a noise while somebody sets up a recording.</summary>
public enum RoomSoundKind
{
    /// <summary>A burst of breath, then a second one.</summary>
    Cough,

    /// <summary>A heavy door that falls shut: a thud with a rattle of the lock.</summary>
    Door,

    /// <summary>A chair that is pushed: it sticks and slips over the boards.</summary>
    Chair,

    /// <summary>Four steps of hard soles.</summary>
    Footsteps,
}

/// <summary>The sounds of <see cref="RoomSoundKind"/>, different every time.</summary>
/// <remarks>Thread: [any]. Peak 1, band-limited. Shapes and spectra: common practice, no source.</remarks>
public static class RoomSounds
{
    public static double[] Make(RoomSoundKind kind, double sampleRateHz, SeededRandom chance)
    {
        var sound = new double[(int)(1.6 * sampleRateHz)];
        switch (kind)
        {
            case RoomSoundKind.Cough:
                Burst(sound, 0, 0.02, 0.06, chance.Uniform(700, 1500), 0.8, 1, sampleRateHz, chance);
                Burst(sound, chance.Uniform(0.25, 0.5), 0.03, 0.08, chance.Uniform(600, 1300), 0.8, 0.6, sampleRateHz, chance);
                break;
            case RoomSoundKind.Door:
                Burst(sound, 0, 0.002, 0.05, chance.Uniform(60, 140), 2, 1, sampleRateHz, chance);
                Burst(sound, 0.005, 0.0005, 0.008, chance.Uniform(1500, 3500), 1.5, 0.4, sampleRateHz, chance);
                Burst(sound, chance.Uniform(0.03, 0.08), 0.0005, 0.006, chance.Uniform(1500, 3500), 1.5, 0.2, sampleRateHz, chance);
                break;
            case RoomSoundKind.Chair:
                var hz = chance.Uniform(250, 900);
                for (var at = 0.0; at < chance.Uniform(0.4, 1.0); at += chance.Uniform(0.008, 0.03))
                    Burst(sound, at, 0.001, 0.008, hz * chance.Uniform(0.9, 1.1), 6, chance.Uniform(0.3, 1), sampleRateHz, chance);
                break;
            case RoomSoundKind.Footsteps:
                for (var step = 0; step < 3; step++)
                {
                    var at = step * 0.5 + chance.Uniform(0, 0.05);
                    Burst(sound, at, 0.001, 0.012, chance.Uniform(80, 200), 1.5, 1, sampleRateHz, chance);
                    Burst(sound, at, 0.0005, 0.003, chance.Uniform(1200, 3000), 1, chance.Uniform(0.1, 0.5), sampleRateHz, chance);
                }
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(kind), kind, "No such sound.");
        }
        return Peak.ToOne(BandLimit.Apply(sound));
    }

    /// <summary>Noise about a middle frequency that rises and dies away.</summary>
    private static void Burst(Span<double> sound, double atSeconds, double riseSeconds, double decaySeconds, double middleHz, double q, double size,
        double sampleRateHz, SeededRandom chance)
    {
        var start = Math.Min(sound.Length, (int)(atSeconds * sampleRateHz));
        var part = sound[start..Math.Min(sound.Length, start + (int)(7 * decaySeconds * sampleRateHz))];
        var colour = new Resonance(middleHz, q, sampleRateHz);
        var burst = new double[part.Length];
        for (var i = 0; i < burst.Length; i++)
        {
            var t = i / sampleRateHz;
            burst[i] = colour.Next(QuickGaussian.Next(chance)) * (1 - Math.Exp(-t / riseSeconds)) * Math.Exp(-t / decaySeconds);
        }
        Peak.ToOne(burst);
        for (var i = 0; i < burst.Length; i++)
            part[i] += size * burst[i];
    }
}
