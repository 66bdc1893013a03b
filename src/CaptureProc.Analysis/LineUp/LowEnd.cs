namespace CaptureProc.Analysis.LineUp;

/// <summary>The bottom of a channel, up to some 400 Hz, kept at a low rate: what hum is looked for in.</summary>
/// <remarks>
/// Thread: one at a time. Memory: 8 kB a second. A windowed sinc, computed only where a sample is kept; flat to 350 Hz within
/// 0.1 dB, 80 dB down from 650 Hz on, where the low rate would fold back.
/// </remarks>
internal sealed class LowEnd
{
    public const double RateGoalHz = 1000;
    private const double CutoffHz = 500;
    private const double TransitionHz = 300;

    private readonly double[] taps;
    private readonly float[] history;
    private readonly List<float> kept = [];
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
        history = new float[taps.Length];
    }

    public int Step { get; }

    public double RateHz { get; }

    /// <summary>Sample k belongs to frame k·Step of the channel.</summary>
    public IReadOnlyList<float> Kept => kept;

    public void Add(ReadOnlySpan<float> samples)
    {
        var half = taps.Length / 2;
        foreach (var sample in samples)
        {
            history[framesTaken % history.Length] = sample;
            // The frame in the middle of the history is the one that can be told now.
            var middle = framesTaken - half;
            if (middle >= 0 && middle % Step == 0)
                kept.Add((float)Filtered());
            framesTaken++;
        }
    }

    private double Filtered()
    {
        var sum = 0.0;
        var oldest = (int)((framesTaken + 1) % history.Length);
        for (var n = 0; n < taps.Length; n++)
        {
            var at = oldest + n;
            sum += taps[n] * history[at < history.Length ? at : at - history.Length];
        }
        return sum;
    }
}
