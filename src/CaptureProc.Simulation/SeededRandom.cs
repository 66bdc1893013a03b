using System.Numerics;

namespace CaptureProc.Simulation;

/// <summary>A repeatable source of chance: the same seed gives the same numbers on every machine and in every version.</summary>
/// <remarks>
/// Thread: one at a time. Allocates: never after construction.
/// The generator is xoshiro256**, its state filled by SplitMix64. System.Random would do, but only by its documented habit,
/// not by promise. <see cref="Fork"/> gives every part of a scene a stream of its own, so that adding a spot or a click
/// leaves the chance of all others as it was.
/// Source: Blackman and Vigna, Scrambled Linear Pseudorandom Number Generators, ACM TOMS 47(4), 2021 (algorithm from memory).
/// </remarks>
public sealed class SeededRandom
{
    private readonly ulong seed;
    private ulong s0, s1, s2, s3;
    private double spareGaussian = double.NaN;

    public SeededRandom(ulong seed)
    {
        this.seed = seed;
        var mixer = seed;
        (s0, s1, s2, s3) = (SplitMix(ref mixer), SplitMix(ref mixer), SplitMix(ref mixer), SplitMix(ref mixer));
    }

    /// <summary>A stream of its own for one purpose; depends on the seed and the name only, not on what was drawn so far.</summary>
    public SeededRandom Fork(string purpose)
    {
        // FNV-1a: string.GetHashCode differs from run to run on purpose.
        var hash = 14695981039346656037UL;
        foreach (var c in purpose)
            hash = (hash ^ c) * 1099511628211UL;
        var mixer = seed ^ hash;
        return new SeededRandom(SplitMix(ref mixer));
    }

    public ulong NextUInt64()
    {
        var result = BitOperations.RotateLeft(s1 * 5, 7) * 9;
        var t = s1 << 17;
        s2 ^= s0;
        s3 ^= s1;
        s1 ^= s2;
        s0 ^= s3;
        s2 ^= t;
        s3 = BitOperations.RotateLeft(s3, 45);
        return result;
    }

    /// <summary>Uniform in [0, 1), 53 bits.</summary>
    public double Uniform() => (NextUInt64() >> 11) * (1.0 / (1UL << 53));

    /// <summary>Uniform in [low, high).</summary>
    public double Uniform(double low, double high) => low + (high - low) * Uniform();

    /// <summary>A whole number in [0, count).</summary>
    public int Index(int count) => (int)(Uniform() * count);

    public bool Chance(double probability) => Uniform() < probability;

    /// <summary>Normal with mean 0 and variance 1 (Marsaglia's polar method, two at a time).</summary>
    public double Gaussian()
    {
        if (!double.IsNaN(spareGaussian))
        {
            var spare = spareGaussian;
            spareGaussian = double.NaN;
            return spare;
        }
        while (true)
        {
            var (u, v) = (Uniform(-1, 1), Uniform(-1, 1));
            var square = u * u + v * v;
            if (square is >= 1 or 0)
                continue;
            var scale = Math.Sqrt(-2 * Math.Log(square) / square);
            spareGaussian = v * scale;
            return u * scale;
        }
    }

    private static ulong SplitMix(ref ulong state)
    {
        var z = state += 0x9E3779B97F4A7C15UL;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return z ^ (z >> 31);
    }
}
