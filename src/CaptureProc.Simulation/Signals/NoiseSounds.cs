namespace CaptureProc.Simulation.Signals;

/// <summary>White and pink Gaussian noise.</summary>
/// <remarks>
/// Thread: [any]. The streams of white and pink noise come from one source of chance and are independent.
/// </remarks>
public static class NoiseSounds
{
    /// <summary>Adds noise of an RMS, part of its power pink, to a channel.</summary>
    public static void Add(Span<double> channel, double rms, double pinkShare, double sampleRateHz, SeededRandom chance)
    {
        var white = rms * Math.Sqrt(1 - pinkShare);
        for (var i = 0; i < channel.Length; i++)
            channel[i] += white * chance.Gaussian();
        if (pinkShare <= 0)
            return;
        var pink = new PinkNoise(sampleRateHz, chance);
        var gain = rms * Math.Sqrt(pinkShare);
        for (var i = 0; i < channel.Length; i++)
            channel[i] += gain * pink.Next();
    }
}
