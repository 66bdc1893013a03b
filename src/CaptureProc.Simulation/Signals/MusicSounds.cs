namespace CaptureProc.Simulation.Signals;

/// <summary>How an invented instrument makes its tones.</summary>
public enum MusicKind
{
    /// <summary>Strings: harmonic partials that die away, high ones first.</summary>
    Plucked,

    /// <summary>Bars and shells: inharmonic partials and a hard onset.</summary>
    Struck,

    /// <summary>Pipes: breath that swells through harmonic resonances.</summary>
    Blown,
}

/// <summary>Music of a kind: notes of one instrument that plays by itself, with rests, loud and soft.</summary>
/// <remarks>
/// Thread: [any]. Peak 1, band-limited. Notes fall at random on a scale of five tones, phrases of two to five seconds are followed by rests,
/// so that no two instruments play the same and none plays all the time: what a measurement from programme has to live with.
/// Common practice, no source.
/// </remarks>
public static class MusicSounds
{
    private static ReadOnlySpan<double> Scale => [1, 9.0 / 8, 5.0 / 4, 3.0 / 2, 5.0 / 3];

    // Modes of a free bar, relative to the first: ((2n+1)/3.0112)², Euler-Bernoulli (from memory).
    private static ReadOnlySpan<double> BarModes => [1, 2.756, 5.404, 8.933, 13.34];

    public static double[] Make(MusicKind kind, double seconds, double lowestHz, double sampleRateHz, SeededRandom chance)
    {
        var sound = new double[(int)(seconds * sampleRateHz)];
        var time = chance.Uniform(0, 0.5);
        while (time < seconds)
        {
            var phraseEnd = time + chance.Uniform(2, 5);
            while (time < phraseEnd && time < seconds)
            {
                var hz = lowestHz * Scale[chance.Index(Scale.Length)] * Math.Pow(2, chance.Index(2));
                var loud = Gain.FromDb(chance.Uniform(-18, 0));
                var length = chance.Uniform(0.3, 1.4);
                var start = (int)(time * sampleRateHz);
                var note = sound.AsSpan(start, Math.Min((int)(length * sampleRateHz), sound.Length - start));
                Note(kind, note, hz, loud, sampleRateHz, chance);
                time += chance.Uniform(0.1, 0.45);
            }
            time += chance.Uniform(0.8, 2.5);
        }
        return Peak.ToOne(BandLimit.Apply(sound));
    }

    private static void Note(MusicKind kind, Span<double> note, double hz, double loud, double sampleRateHz, SeededRandom chance)
    {
        switch (kind)
        {
            case MusicKind.Plucked:
                for (var partial = 1; partial <= 24 && hz * partial < 0.4 * sampleRateHz; partial++)
                    Ring(note, hz * partial, loud / partial * chance.Uniform(0.4, 1), 0.5 / Math.Sqrt(partial), sampleRateHz);
                Strike(note, loud * 0.4, 0.004, sampleRateHz, chance);
                break;
            case MusicKind.Struck:
                foreach (var mode in BarModes)
                    if (hz * mode < 0.4 * sampleRateHz)
                        Ring(note, hz * mode, loud / mode * chance.Uniform(0.5, 1.5), 0.4 / mode, sampleRateHz);
                Strike(note, loud, 0.002, sampleRateHz, chance);
                break;
            case MusicKind.Blown:
                Breathe(note, hz, loud, sampleRateHz, chance);
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(kind), kind, "No such kind of music.");
        }
    }

    /// <summary>A tone that dies away, let go smoothly at the end of the note.</summary>
    private static void Ring(Span<double> note, double hz, double size, double decaySeconds, double sampleRateHz)
    {
        var decay = Math.Exp(-1 / (decaySeconds * sampleRateHz));
        var (sin, cos) = Math.SinCos(2 * Math.PI * hz / sampleRateHz);
        var (a1, a2) = (2 * decay * cos, decay * decay);
        var (y1, y2) = (0.0, -size * sin / decay);
        var release = 0.02 * sampleRateHz;
        for (var i = 0; i < note.Length; i++)
        {
            var y = a1 * y1 - a2 * y2;
            (y2, y1) = (y1, y);
            note[i] += y * Math.Min(1, (note.Length - i) / release);
        }
    }

    /// <summary>The plectrum or mallet: a short noise.</summary>
    private static void Strike(Span<double> note, double size, double decaySeconds, double sampleRateHz, SeededRandom chance)
    {
        var length = Math.Min(note.Length, (int)(8 * decaySeconds * sampleRateHz));
        for (var i = 0; i < length; i++)
            note[i] += 0.5 * size * chance.Gaussian() * Math.Exp(-i / (decaySeconds * sampleRateHz));
    }

    private static void Breathe(Span<double> note, double hz, double loud, double sampleRateHz, SeededRandom chance)
    {
        Span<Resonance> pipe = stackalloc Resonance[8];
        var count = 0;
        while (count < pipe.Length && hz * (count + 1) < 0.4 * sampleRateHz)
        {
            pipe[count] = new Resonance(hz * (count + 1), 40, sampleRateHz);
            count++;
        }
        var (rise, fall) = (0.05 * sampleRateHz, 0.08 * sampleRateHz);
        for (var i = 0; i < note.Length; i++)
        {
            var breath = chance.Gaussian() * Math.Min(1, i / rise) * Math.Min(1, (note.Length - i) / fall);
            var sum = 0.1 * breath;
            for (var k = 0; k < count; k++)
                sum += 4 * pipe[k].Next(breath) / (k + 1);
            note[i] += 0.3 * loud * sum;
        }
    }
}
