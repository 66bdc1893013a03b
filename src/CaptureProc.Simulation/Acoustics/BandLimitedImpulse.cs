using System.Numerics;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>Places an impulse between samples: a sinc under a Kaiser window, 66 taps, from a table of 1024 phases.</summary>
/// <remarks>
/// Thread: [any]. Allocates: once, the table. Shape: adds into a buffer whose element 0 is time 0.
/// Error: below −90 dB up to 0.9 of Nyquist (kernel), −118 dB (straight lines between phases); above, the kernel falls off
/// through Nyquist, so what is sent through it has to end at 0.9 as the sounds of this project do.
/// It is not the interpolator of the product on purpose: a simulator that shares the code it judges would share its errors.
/// Source: Kaiser's window with β = 9.5; main lobe half width √(π² + β²)/(32.5 π) of Nyquist = 0.098.
/// </remarks>
public static class BandLimitedImpulse
{
    /// <summary>The impulse reaches this many frames before and after its time.</summary>
    public const int ReachFrames = 33;

    private const int TapCount = 2 * ReachFrames;
    private const int PhaseCount = 1024;
    private static readonly double[] Table = MakeTable();

    /// <summary>Adds an impulse of a given area at a time in frames (fractions allowed); what falls outside the buffer is lost.</summary>
    public static void Add(Span<double> buffer, double timeFrames, double gain)
    {
        var whole = (int)Math.Floor(timeFrames);
        var phase = (timeFrames - whole) * PhaseCount;
        var index = (int)phase;
        var between = phase - index;
        var first = whole - ReachFrames + 1;
        var skip = Math.Max(0, -first);
        var count = Math.Min(TapCount, buffer.Length - first) - skip;
        if (count <= 0)
            return;

        var target = buffer.Slice(first + skip, count);
        var here = Table.AsSpan(index * TapCount + skip, count);
        var next = Table.AsSpan((index + 1) * TapCount + skip, count);
        var (gainHere, gainNext) = (gain * (1 - between), gain * between);
        var i = 0;
        for (; i <= count - Vector<double>.Count; i += Vector<double>.Count)
        {
            var sum = new Vector<double>(target[i..]) + gainHere * new Vector<double>(here[i..]) + gainNext * new Vector<double>(next[i..]);
            sum.CopyTo(target[i..]);
        }
        for (; i < count; i++)
            target[i] += gainHere * here[i] + gainNext * next[i];
    }

    private static double[] MakeTable()
    {
        const double beta = 9.5;
        const double halfWidth = 32.5;
        var table = new double[(PhaseCount + 1) * TapCount];
        for (var phase = 0; phase <= PhaseCount; phase++)
            for (var tap = 0; tap < TapCount; tap++)
            {
                var t = tap - ReachFrames + 1 - (double)phase / PhaseCount;
                var sinc = t == 0 ? 1 : Math.Sin(Math.PI * t) / (Math.PI * t);
                table[phase * TapCount + tap] = sinc * KaiserWindow.At(t / halfWidth, beta);
            }
        return table;
    }
}
