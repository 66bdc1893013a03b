using System.Runtime.Intrinsics;

namespace CaptureProc.Analysis.LineUp;

/// <summary>The bottom of a channel, up to some 400 Hz, kept at a low rate: what hum is looked for in.</summary>
/// <remarks>
/// Thread: one at a time. Memory: 8 kB a second. A windowed sinc, computed only where a sample is kept; flat to 350 Hz within
/// 0.1 dB, 80 dB down from 650 Hz on, where the low rate would fold back.
/// The samples are sorted by their place within a step, so that what neighbouring results need of one tap lies side by side: the lanes of
/// a vector are results, each of which adds its taps up in their order, and two vectors hide the time that an addition takes.
/// </remarks>
internal sealed class LowEnd
{
    public const double RateGoalHz = 1000;
    private const double CutoffHz = 500;
    private const double TransitionHz = 300;
    private const int ResultsAtOnce = 8;

    private readonly double[] taps;
    private readonly double[][] phases;
    private readonly List<float> kept = [];

    // The first sample that is held belongs to this frame, a multiple of the step; frames before the recording are silence.
    private long firstHeld;
    private long framesTaken;

    public LowEnd(double sampleRateHz)
    {
        Step = Math.Max(1, (int)(sampleRateHz / RateGoalHz));
        RateHz = sampleRateHz / Step;
        // Blackman's window: transition of 5.5/N of the rate, -74 dB and falling (from memory).
        var half = (int)Math.Ceiling(5.5 * sampleRateHz / TransitionHz / 2);
        taps = new double[2 * half + 1];
        var sum = 0.0;
        for (var n = -half; n <= half; n++)
        {
            var x = 2 * Math.PI * CutoffHz / sampleRateHz * n;
            var window = 0.42 + 0.5 * Math.Cos(Math.PI * n / (half + 1)) + 0.08 * Math.Cos(2 * Math.PI * n / (half + 1));
            taps[n + half] = (n == 0 ? 1 : Math.Sin(x) / x) * window;
            sum += taps[n + half];
        }
        for (var n = 0; n < taps.Length; n++)
            taps[n] /= sum;
        // Room for the taps of as many results as are made at once, twice: what is held moves to the front only now and then.
        phases = new double[Step][];
        for (var p = 0; p < Step; p++)
            phases[p] = new double[2 * (taps.Length / Step + 2 + ResultsAtOnce)];
        firstHeld = -(long)((taps.Length / 2 + Step - 1) / Step) * Step;
    }

    public int Step { get; }

    public double RateHz { get; }

    /// <summary>Sample k belongs to frame k·Step of the channel.</summary>
    public IReadOnlyList<float> Kept
    {
        get
        {
            Tell(1);
            return kept;
        }
    }

    public void Add(ReadOnlySpan<float> samples)
    {
        while (!samples.IsEmpty)
        {
            var room = (int)Math.Min(samples.Length, firstHeld + (long)phases[0].Length * Step - framesTaken);
            var at = (int)((framesTaken - firstHeld) / Step);
            var phase = (int)((framesTaken - firstHeld) % Step);
            foreach (var sample in samples[..room])
            {
                phases[phase][at] = sample;
                if (++phase == Step)
                    (phase, at) = (0, at + 1);
            }
            framesTaken += room;
            samples = samples[room..];
            Tell(ResultsAtOnce);
            if (framesTaken == firstHeld + (long)phases[0].Length * Step)
                MoveUp();
        }
    }

    // The frame that the next result belongs to, and what it hears first.
    private long NextFirst => (long)kept.Count * Step - taps.Length / 2;

    // Results whose last tap is there, as soon as there are so many.
    private void Tell(int least)
    {
        Span<double> results = stackalloc double[ResultsAtOnce];
        while (true)
        {
            var ready = (framesTaken - NextFirst - taps.Length) / Step + 1;
            if (framesTaken - NextFirst < taps.Length || ready < least)
                return;
            if ((NextFirst - firstHeld + taps.Length) / Step + 1 + ResultsAtOnce > phases[0].Length)
                MoveUp();
            Filter((int)(NextFirst - firstHeld), results);
            foreach (var result in results[..(int)Math.Min(ready, ResultsAtOnce)])
                kept.Add((float)result);
        }
    }

    private void Filter(int offset, Span<double> results)
    {
        var (low, high) = (Vector256<double>.Zero, Vector256<double>.Zero);
        var (at, phase) = (offset / Step, offset % Step);
        foreach (var tap in taps)
        {
            var row = phases[phase].AsSpan(at, ResultsAtOnce);
            var factor = Vector256.Create(tap);
            low += factor * Vector256.Create<double>(row);
            high += factor * Vector256.Create<double>(row[Vector256<double>.Count..]);
            if (++phase == Step)
                (phase, at) = (0, at + 1);
        }
        low.CopyTo(results);
        high.CopyTo(results[Vector256<double>.Count..]);
    }

    private void MoveUp()
    {
        var gone = (int)((NextFirst - firstHeld) / Step);
        foreach (var row in phases)
        {
            row.AsSpan(gone).CopyTo(row);
            row.AsSpan(row.Length - gone).Clear();
        }
        firstHeld += (long)gone * Step;
    }
}
