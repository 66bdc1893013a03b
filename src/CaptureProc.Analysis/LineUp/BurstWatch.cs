using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Analysis.LineUp;

/// <summary>Tells claps and taps from a noise that lasts.</summary>
/// <remarks>
/// Thread: one at a time. Memory: 400 bytes a second. A clap has lost twelve decibels after a fiftieth of a second, and between claps
/// there is silence; a noise that is fed to an input stays for seconds, however short the recording of it is.
/// </remarks>
internal sealed class BurstWatch(double sampleRateHz)
{
    private const double BlockSeconds = 0.02;
    private const double LongestSeconds = 0.25;
    private const double LoudDb = 12;
    private const double SilenceDb = 20;
    private const double QuietMeanSquare = 0.5e-6;

    private readonly int blockFrames = Math.Max(1, (int)(BlockSeconds * sampleRateHz));
    private readonly List<double> energies = [];
    private double sum;
    private int filled;

    /// <summary>Takes the next frames of the array's channels.</summary>
    public void Hear(float[][] channels, int firstFrame, int frames)
    {
        while (frames > 0)
        {
            var part = Math.Min(frames, blockFrames - filled);
            foreach (var channel in channels)
                sum += SignalPower.SumOfSquares(channel.AsSpan(firstFrame, part));
            (firstFrame, frames, filled) = (firstFrame + part, frames - part, filled + part);
            if (filled < blockFrames)
                return;
            energies.Add(sum / blockFrames);
            (sum, filled) = (0, 0);
        }
    }

    /// <summary>How many short loud sounds there are; 0 where any loud sound lasts, or where there is no silence between them.</summary>
    public int Count
    {
        get
        {
            if (energies.Count == 0)
                return 0;
            var loudest = energies.Max();
            var median = energies.Order().ElementAt(energies.Count / 2);
            if (loudest < QuietMeanSquare || median > loudest * Math.Pow(10, -SilenceDb / 10))
                return 0;
            var (count, run) = (0, 0);
            foreach (var energy in energies)
            {
                run = energy > loudest * Math.Pow(10, -LoudDb / 10) ? run + 1 : 0;
                if (run == 1)
                    count++;
                if (run * BlockSeconds > LongestSeconds)
                    return 0;
            }
            return count;
        }
    }
}
