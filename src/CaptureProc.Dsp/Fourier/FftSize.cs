using System.Numerics;

namespace CaptureProc.Dsp.Fourier;

/// <summary>What the transforms ask of their sizes and spans.</summary>
internal static class FftSize
{
    public static void Check<T>(int size, int smallest)
    {
        if (typeof(T) != typeof(float) && typeof(T) != typeof(double))
            throw new NotSupportedException($"The transform exists for float and double, not for {typeof(T).Name}.");
        if (size < smallest || size > 1 << 28 || !BitOperations.IsPow2(size))
            throw new ArgumentOutOfRangeException(nameof(size), size, $"The size of a transform is a power of two from {smallest} to 2^28.");
    }

    public static void CheckLength(int length, int expected, string name)
    {
        if (length != expected)
            throw new ArgumentException($"'{name}' has {length} elements; the transform needs {expected}.", name);
    }
}
