using System.Numerics;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>An impulse between samples for the crowd of late arrivals: 16 taps, within −50 dB up to 0.7 of Nyquist.</summary>
/// <remarks>
/// Thread: [any]. One arrival among hundreds may be placed less exactly than the few that are heard singly; its error is noise 50 dB below the tail.
/// The taps of a place in time are worked out once and used for every track. Source: Kaiser's window with β = 5 (from memory).
/// </remarks>
internal static class ShortImpulse
{
    public const int TapCount = 16;

    private const int PhaseCount = 512;
    private static readonly double[] Table = MakeTable();

    /// <summary>Writes the taps of a time in frames, and says at which frame the first one lies.</summary>
    public static int Taps(double timeFrames, Span<double> taps)
    {
        var whole = (int)Math.Floor(timeFrames);
        var phase = (timeFrames - whole) * PhaseCount;
        var index = (int)phase;
        var between = phase - index;
        var here = Table.AsSpan(index * TapCount, TapCount);
        var next = Table.AsSpan((index + 1) * TapCount, TapCount);
        for (var i = 0; i < TapCount; i += Vector<double>.Count)
            ((1 - between) * new Vector<double>(here[i..]) + between * new Vector<double>(next[i..])).CopyTo(taps[i..]);
        return whole - TapCount / 2 + 1;
    }

    /// <summary>Adds the taps with a gain; an impulse that does not lie wholly inside is left out.</summary>
    public static void Add(Span<double> track, int at, ReadOnlySpan<double> taps, double gain)
    {
        if (at < 0 || at + TapCount > track.Length)
            return;
        var target = track.Slice(at, TapCount);
        for (var i = 0; i < TapCount; i += Vector<double>.Count)
            (new Vector<double>(target[i..]) + gain * new Vector<double>(taps[i..])).CopyTo(target[i..]);
    }

    private static double[] MakeTable()
    {
        var table = new double[(PhaseCount + 1) * TapCount];
        for (var phase = 0; phase <= PhaseCount; phase++)
            for (var tap = 0; tap < TapCount; tap++)
            {
                var t = tap - TapCount / 2 + 1 - (double)phase / PhaseCount;
                var sinc = t == 0 ? 1 : Math.Sin(Math.PI * t) / (Math.PI * t);
                table[phase * TapCount + tap] = sinc * KaiserWindow.At(t / (TapCount / 2.0), 5);
            }
        return table;
    }
}
