using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Simulation.Signals;

/// <summary>The sound of one clap or slate as it leaves the source, different every time.</summary>
/// <remarks>
/// Thread: [any]. Shape: one flat run of samples, peak 1. Band-limited to 0.9 of Nyquist.
/// A clap is coloured noise under a fast rise and an exponential fall; its spectrum has the broad hump at 1-3 kHz that cupped
/// hands give it over a floor that reaches to the top. A slate adds a few damped tones of the wood. Common practice, no source.
/// </remarks>
public static class ClickSounds
{
    public static double[] Make(ClickKind kind, double sampleRateHz, SeededRandom chance) => kind switch
    {
        ClickKind.Clap => Peak.ToOne(BandLimit.Apply(Clap(sampleRateHz, chance))),
        ClickKind.Slate => Peak.ToOne(BandLimit.Apply(Slate(sampleRateHz, chance))),
        ClickKind.Flam => Peak.ToOne(BandLimit.Apply(Flam(sampleRateHz, chance))),
        ClickKind.RingingSlate => Peak.ToOne(BandLimit.Apply(RingingSlate(sampleRateHz, chance))),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "No such kind of click."),
    };

    private static double[] Clap(double sampleRateHz, SeededRandom chance)
    {
        var decaySeconds = chance.Uniform(0.0006, 0.0018);
        return Burst(decaySeconds, humpHz: chance.Uniform(900, 2800), humpQ: chance.Uniform(0.7, 1.6), sampleRateHz, chance);
    }

    private static double[] Slate(double sampleRateHz, SeededRandom chance)
    {
        var sound = Burst(chance.Uniform(0.0003, 0.0008), humpHz: chance.Uniform(1500, 4000), humpQ: 0.8, sampleRateHz, chance);
        Peak.ToOne(sound);
        var length = Math.Max(sound.Length, (int)(0.025 * sampleRateHz));
        Array.Resize(ref sound, length);
        for (var tone = 0; tone < 5; tone++)
        {
            var (hz, decay, size) = (chance.Uniform(500, 5000), chance.Uniform(0.001, 0.003), chance.Uniform(0.05, 0.25));
            for (var i = 0; i < length; i++)
            {
                var t = i / sampleRateHz;
                sound[i] += size * Math.Sin(2 * Math.PI * hz * t) * Math.Exp(-t / decay);
            }
        }
        return sound;
    }

    /// <summary>Boards as bars: bending modes whose ring is louder than the knock after a millisecond or two and lasts 10-30 ms (−40 dB).</summary>
    private static double[] RingingSlate(double sampleRateHz, SeededRandom chance)
    {
        var sound = Peak.ToOne(Burst(chance.Uniform(0.0004, 0.001), humpHz: chance.Uniform(1200, 3500), humpQ: 0.9, sampleRateHz, chance));
        var ringSeconds = chance.Uniform(0.010, 0.030);
        var length = Math.Max(sound.Length, (int)(1.5 * ringSeconds * sampleRateHz));
        Array.Resize(ref sound, length);
        var lowestHz = chance.Uniform(350, 900);
        // Modes of a free bar, ((2n+1)/3.0112)² (Euler-Bernoulli, from memory), two boards that are not quite alike.
        for (var board = 0; board < 2; board++)
            for (var mode = 1; mode <= 5; mode++)
            {
                var order = (2 * mode + 1) / 3.0112;
                var hz = lowestHz * order * order * chance.Uniform(0.93, 1.07);
                if (hz > 0.4 * sampleRateHz)
                    break;
                // −40 dB after the ring for the lowest mode, the higher ones die sooner.
                var decaySeconds = ringSeconds / 4.6 / Math.Sqrt(mode);
                var (size, phase) = (chance.Uniform(0.1, 0.45) / Math.Sqrt(mode), chance.Uniform(0, 2 * Math.PI));
                for (var i = 0; i < length; i++)
                {
                    var t = i / sampleRateHz;
                    sound[i] += size * (1 - Math.Exp(-t / 0.0002)) * Math.Sin(2 * Math.PI * hz * t + phase) * Math.Exp(-t / decaySeconds);
                }
            }
        return sound;
    }

    private static double[] Flam(double sampleRateHz, SeededRandom chance)
    {
        var first = Peak.ToOne(Clap(sampleRateHz, chance));
        var second = Peak.ToOne(Clap(sampleRateHz, chance));
        var gap = (int)(chance.Uniform(0.008, 0.030) * sampleRateHz);
        var ratio = Gain.FromDb(chance.Uniform(-6, 6));
        var both = new double[Math.Max(first.Length, gap + second.Length)];
        for (var i = 0; i < first.Length; i++)
            both[i] += first[i];
        for (var i = 0; i < second.Length; i++)
            both[gap + i] += ratio * second[i];
        return both;
    }

    /// <summary>Noise with a hump, rising within a tenth of a millisecond and falling to −60 dB within seven time constants.</summary>
    private static double[] Burst(double decaySeconds, double humpHz, double humpQ, double sampleRateHz, SeededRandom chance)
    {
        const double riseSeconds = 0.0001;
        const double floor = 0.25;
        var sound = new double[(int)(7 * decaySeconds * sampleRateHz) + 1];
        var hump = new Resonance(humpHz, humpQ, sampleRateHz);
        // A few milliseconds ahead so that the resonance is already swinging.
        for (var i = 0; i < (int)(0.003 * sampleRateHz); i++)
            hump.Next(chance.Gaussian());
        for (var i = 0; i < sound.Length; i++)
        {
            var t = i / sampleRateHz;
            var noise = chance.Gaussian();
            sound[i] = (hump.Next(noise) + floor * noise) * (1 - Math.Exp(-t / riseSeconds)) * Math.Exp(-t / decaySeconds);
        }
        return sound;
    }
}
