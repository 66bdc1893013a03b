using CaptureProc.Dsp.Loudness;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.Loudness;

/// <summary>The stretches of tone that EBU Tech 3341 and 3342 are made of, and a meter run over them in uneven blocks.</summary>
internal static class LoudnessSignals
{
    public const int RateHz = 48_000;

    /// <summary>A 1 kHz sine, the phase running on from stretch to stretch; peakDb is the peak in dB re full scale, −∞ for silence.</summary>
    public static float[] Tone(params (double Seconds, double PeakDb)[] stretches)
    {
        var signal = new List<float>();
        foreach (var (seconds, peakDb) in stretches)
        {
            var end = signal.Count + (int)Math.Round(seconds * RateHz);
            var amplitude = Math.Pow(10, peakDb / 20);
            while (signal.Count < end)
                signal.Add((float)(amplitude * Math.Sin(2 * Math.PI * 1000 * signal.Count / RateHz)));
        }
        return [.. signal];
    }

    public static LoudnessMeter MeasureStereo(float[] channel, int rateHz = RateHz) => Measure(rateHz, [1, 1], channel, channel);

    public static LoudnessMeter Measure(int rateHz, double[] weights, params float[][] channels)
    {
        var meter = new LoudnessMeter(rateHz, weights);
        ForEachBlock(channels, meter.Process);
        return meter;
    }

    public static TruePeakMeter TruePeak(int rateHz, params float[][] channels)
    {
        var meter = new TruePeakMeter(rateHz, channels.Length);
        ForEachBlock(channels, meter.Process);
        meter.Flush();
        return meter;
    }

    // 1024 and 37 in turn: blocks that fit neither the meter's slices nor a vector.
    public static void ForEachBlock(float[][] channels, PlanarBlock process)
    {
        for (var (start, turn) = (0, 0); start < channels[0].Length; turn++)
        {
            var frames = Math.Min(turn % 2 == 0 ? 1024 : 37, channels[0].Length - start);
            process(new ReadOnlyPlanarSpan(channels, start, frames));
            start += frames;
        }
    }
}

internal delegate void PlanarBlock(ReadOnlyPlanarSpan input);
