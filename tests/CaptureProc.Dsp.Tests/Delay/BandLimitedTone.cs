namespace CaptureProc.Dsp.Tests.Delay;

/// <summary>A sum of sines up to 0.9 of half the rate, whose value is known at every real time: the closed form of a shifted signal.</summary>
internal sealed class BandLimitedTone
{
    private readonly (double Omega, double Phase, double Amplitude)[] lines;

    public BandLimitedTone(int seed, double highest = 0.9)
    {
        var random = new Random(seed);
        lines = new (double, double, double)[24];
        for (var line = 0; line < lines.Length; line++)
            // The first line stands at the very edge of the band.
            lines[line] = (Math.PI * highest * (1 - line / (double)lines.Length), 2 * Math.PI * random.NextDouble(), 1.0 / lines.Length);
    }

    public double At(double samples)
    {
        var sum = 0.0;
        foreach (var (omega, phase, amplitude) in lines)
            sum += amplitude * Math.Sin(omega * samples + phase);
        return sum;
    }

    public float[] Sample(int frames, double delaySamples = 0, double step = 1)
    {
        var samples = new float[frames];
        for (var n = 0; n < frames; n++)
            samples[n] = (float)At(n * step - delaySamples);
        return samples;
    }
}
