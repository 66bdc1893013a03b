namespace CaptureProc.Rendering.Signals;

/// <summary>Repeatable chance: the same seed gives the same signal on every machine and in every version.</summary>
/// <remarks>
/// Thread: one at a time. System.Random promises its sequence within one version of the framework only.
/// Source: Steele, Lea and Flood, Fast Splittable Pseudorandom Number Generators, OOPSLA 2014 (algorithm from memory;
/// first outputs of seed 0 checked against the published ones in the tests).
/// </remarks>
internal struct SplitMix64(ulong seed)
{
    private ulong state = seed;

    public ulong Next()
    {
        var z = state += 0x9E3779B97F4A7C15UL;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return z ^ (z >> 31);
    }

    /// <summary>Uniform in [0, 1), 53 bits.</summary>
    public double Uniform() => (Next() >> 11) * (1.0 / (1UL << 53));
}
