using System.Numerics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Loudness;

/// <summary>The highest level that the waveform between the samples reaches, for each channel.</summary>
/// <remarks>
/// Thread: [audio] after the constructor. Allocates: only in the constructor.
/// Shape:  planar blocks as in <see cref="LoudnessMeter"/>; any number of frames a call.
/// Unit:   dBTP; full scale is 1.0; −∞ for silence.
/// Error:  oversampled to at least 352.8 kHz, so a tone at 0.45 of the rate reads at most 0.14 dB low (20 lg cos(π·0.45/8)).
/// Latency: a peak counts once the 16 samples after it have come; <see cref="Flush"/> sends silence after the last one.
/// Method: polyphase windowed sinc, 32 taps a phase. The 12-tap filter of the standard's annex is an example, and 0.2 dB low
///         where a peak falls on a sample; here that phase is the sample itself. The lanes of the vector are neighbouring
///         output times, so that each load serves all phases and no sum across lanes is needed.
/// Source: ITU-R BS.1770-5, Annex 2.
/// </remarks>
public sealed class TruePeakMeter
{
    private const int Block = 512;

    private readonly PeakInterpolator interpolator;
    private readonly float[] history;
    private readonly float[] peaks;
    private readonly int stride;

    public TruePeakMeter(int sampleRateHz, int channelCount)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRateHz, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(channelCount, 1);
        interpolator = PeakInterpolator.ForRate(sampleRateHz);
        stride = PeakInterpolator.TapCount - 1 + Block + Vector<float>.Count;
        history = new float[channelCount * stride];
        peaks = new float[channelCount];
    }

    public int ChannelCount => peaks.Length;

    /// <summary>How many points a sample the waveform is looked at.</summary>
    public int Oversampling => interpolator.PhaseCount;

    public double PeakDbtp(int channel) => 20 * Math.Log10(peaks[channel]);

    /// <summary>The highest of all channels.</summary>
    public double MaxPeakDbtp
    {
        get
        {
            var highest = 0f;
            foreach (var peak in peaks)
                highest = Math.Max(highest, peak);
            return 20 * Math.Log10(highest);
        }
    }

    public void Reset()
    {
        Array.Clear(history);
        Array.Clear(peaks);
    }

    public void Process(ReadOnlyPlanarSpan input)
    {
        for (var channel = 0; channel < peaks.Length; channel++)
        {
            var own = input[channel];
            for (var start = 0; start < own.Length; start += Block)
                Scan(channel, own.Slice(start, Math.Min(Block, own.Length - start)));
        }
    }

    /// <summary>Ends the programme: counts what the waveform does after the last sample.</summary>
    public void Flush()
    {
        Span<float> silence = stackalloc float[PeakInterpolator.TapCount - 1];
        silence.Clear();
        for (var channel = 0; channel < peaks.Length; channel++)
            Scan(channel, silence);
    }

    private void Scan(int channel, ReadOnlySpan<float> samples)
    {
        const int tail = PeakInterpolator.TapCount - 1;
        var window = history.AsSpan(channel * stride, stride);
        samples.CopyTo(window[tail..]);
        peaks[channel] = Math.Max(peaks[channel], interpolator.HighestMagnitude(window, samples.Length, peaks[channel]));
        window.Slice(samples.Length, tail).CopyTo(window);
    }
}
