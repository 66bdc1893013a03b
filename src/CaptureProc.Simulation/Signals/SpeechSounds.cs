namespace CaptureProc.Simulation.Signals;

/// <summary>Something like speech: voiced and unvoiced syllables with formants, no words.</summary>
/// <remarks>
/// Thread: [any]. Peak 1, band-limited. A glottal pulse train with a wandering pitch, or noise, through three resonances
/// that change from syllable to syllable; plosives start abruptly, as a slate detector should learn to ignore.
/// Common practice, no source.
/// </remarks>
public static class SpeechSounds
{
    public static double[] Make(double seconds, double sampleRateHz, SeededRandom chance)
    {
        var sound = new double[(int)(seconds * sampleRateHz)];
        var pitchHz = chance.Uniform(95, 210);
        var at = 0;
        while (at < sound.Length)
        {
            var length = (int)(chance.Uniform(0.08, 0.22) * sampleRateHz);
            Syllable(sound.AsSpan(at, Math.Min(length, sound.Length - at)), pitchHz * chance.Uniform(0.85, 1.2), sampleRateHz, chance);
            at += length + (int)(chance.Uniform(0, 0.09) * sampleRateHz);
        }
        return Peak.ToOne(BandLimit.Apply(sound));
    }

    private static void Syllable(Span<double> sound, double pitchHz, double sampleRateHz, SeededRandom chance)
    {
        var first = new Resonance(chance.Uniform(300, 900), 6, sampleRateHz);
        var second = new Resonance(chance.Uniform(900, 2400), 8, sampleRateHz);
        var third = new Resonance(chance.Uniform(2400, 3600), 8, sampleRateHz);
        var hiss = new Resonance(chance.Uniform(3500, 7000), 1.5, sampleRateHz);
        var voiced = chance.Chance(0.75);
        var (rise, phase) = (chance.Uniform(0.001, 0.02) * sampleRateHz, 0.0);
        for (var i = 0; i < sound.Length; i++)
        {
            phase += pitchHz / sampleRateHz * (1 + 0.1 * i / sound.Length);
            var pulse = 0.0;
            if (phase >= 1)
            {
                phase -= 1;
                pulse = 20;
            }
            var throat = voiced ? pulse + 0.05 * chance.Gaussian() : 0;
            var teeth = voiced ? 0 : chance.Gaussian();
            var shape = Math.Min(1, i / rise) * Math.Min(1, (sound.Length - i) / (0.03 * sampleRateHz));
            sound[i] += shape * (first.Next(throat) + 0.5 * second.Next(throat) + 0.2 * third.Next(throat) + 0.5 * hiss.Next(teeth));
        }
    }
}
