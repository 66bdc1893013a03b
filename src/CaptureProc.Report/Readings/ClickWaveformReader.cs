using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Report.Readings;

/// <summary>Takes the clicks of a session out of its recording, for each spot its best one, recorded and aligned.</summary>
/// <remarks>Memory: some hundredths of a second a click, whatever the length of the recording.</remarks>
public sealed class ClickWaveformReader
{
    private const double LeadMs = 2.5;
    private const double TailMs = 6;

    // The aligned stretch shows the first wave from near by; a third of a sample between the traces is then several dots on paper.
    private const double NearLeadMs = 0.15;
    private const double NearTailMs = 0.6;
    private const double PastPeakMs = 0.15;
    private const double LongestNearTailMs = 1.0;

    // A clap has its peak within this of its first sound, and rises over a tenth of it at once.
    private const double RiseMs = 3;
    private const float OnsetShare = 0.1f;

    private readonly SessionDocument session;
    private readonly WavInput input;
    private readonly ArrayEntry array;
    private readonly MatrixFilter toW;

    /// <param name="session">The session.</param>
    /// <param name="array">The array that heard the clicks.</param>
    /// <param name="input">The recording.</param>
    public ClickWaveformReader(SessionDocument session, ArrayEntry array, WavInput input)
    {
        input.RequireSampleRate(session.SampleRate);
        (this.session, this.input, this.array) = (session.HeardBy(array), input, array);
        input.RequireChannels(array.Channels, $"array '{array.Id}'");
        toW = new FieldConversion().DesignFilter(session, array);
    }

    /// <summary>The best click of every spot that has one and a delay, in the order of the session.</summary>
    public IReadOnlyList<ClickWaveform> ReadAll()
    {
        var waveforms = new List<ClickWaveform>();
        foreach (var spot in session.Spots)
        {
            var click = session.Clicks.Where(c => c.Spot == spot.Id || c.Spot is null)
                .OrderByDescending(c => c.Spot is not null).ThenByDescending(c => c.SnrDb ?? double.NegativeInfinity).FirstOrDefault();
            if (click is null || spot.Delay is not { } delay)
                continue;
            waveforms.Add(Read(spot, click, delay));
        }
        return waveforms;
    }

    /// <summary>One click as the array and a spot hold it.</summary>
    /// <param name="spot">Any spot; the click need not be its own.</param>
    /// <param name="click">When it is first heard.</param>
    /// <param name="delay">The delay to look at.</param>
    public ClickWaveform Read(SpotEntry spot, ClickEntry click, SpotDelay delay)
    {
        input.RequireChannels(spot.Channels, $"spot '{spot.Id}'");
        var perMs = session.SampleRate / 1000.0;
        var delaySamples = DelayAt(spot, delay, click.TimeSeconds);
        var lead = (int)(LeadMs * perMs);
        var tail = (int)(TailMs * perMs);
        var early = lead + (int)Math.Max(0, delaySamples);
        var late = tail + (int)Math.Max(0, -delaySamples);
        var arrival = Arrival(spot, click, delaySamples);
        var start = arrival - early;
        var length = early + late;

        var w = ReadW(start, length);
        var before = ReadMean(spot.Channels, start, length);
        var after = ReadShifted(spot, delaySamples, arrival - lead, lead + tail);
        var nearLead = (int)Math.Round(NearLeadMs * perMs);
        var nearLength = nearLead + NearTail(w.AsSpan(early));
        var near = new NearTraces(-nearLead, Oversampling.Step,
            Near(ReadW, arrival - nearLead, nearLength), Near((from, count) => ReadShifted(spot, delaySamples, from, count), arrival - nearLead, nearLength));
        return new ClickWaveform(spot.Id, (double)arrival / session.SampleRate, session.SampleRate,
            -early / perMs, w, before, -lead / perMs, w[(early - lead)..(early + tail)], after, near);
    }

    /// <summary>Frames to show behind the arrival: up to the peak of the first wave and a little beyond.</summary>
    private int NearTail(ReadOnlySpan<float> fromArrival)
    {
        var perMs = session.SampleRate / 1000.0;
        var longest = (int)(LongestNearTailMs * perMs);
        var peak = 0;
        for (var n = 1; n < Math.Min(longest, fromArrival.Length); n++)
            if (Math.Abs(fromArrival[n]) > Math.Abs(fromArrival[peak]))
                peak = n;
        return Math.Clamp(peak + (int)(PastPeakMs * perMs), (int)(NearTailMs * perMs), longest);
    }

    private static float[] Near(Func<long, int, float[]> read, long start, int length) =>
        Oversampling.Between(read(start - Oversampling.Margin, length + 2 * Oversampling.Margin));

    // A clock of its own makes the delay another at every click.
    private double DelayAt(SpotEntry spot, SpotDelay delay, double seconds) => spot.Clock is { } clock
        ? delay.Samples - clock.DriftPpm * 1e-6 * (seconds - clock.AtSeconds) * session.SampleRate
        : delay.Samples;

    /// <summary>The frame at which the click begins in the aligned spot, which is when it arrives at the array.</summary>
    /// <remarks>The session says when it is first heard, and that may be at the spot already.</remarks>
    private long Arrival(SpotEntry spot, ClickEntry click, double delaySamples)
    {
        var perMs = session.SampleRate / 1000.0;
        var first = (long)(click.TimeSeconds * session.SampleRate - LeadMs * perMs);
        var aligned = ReadShifted(spot, delaySamples, first, (int)(Math.Abs(delaySamples) + (LeadMs + 2 * TailMs) * perMs));
        var peak = Array.IndexOf(aligned, aligned.MaxBy(Math.Abs));
        var onset = peak;
        for (var n = peak; n >= Math.Max(0, peak - RiseMs * perMs); n--)
            if (Math.Abs(aligned[n]) >= OnsetShare * Math.Abs(aligned[peak]))
                onset = n;
        return first + onset;
    }

    private float[] ReadW(long start, int length)
    {
        // The filter reaches as far back as its taps; its latency is taken out, so the stretch is read that much longer.
        var history = toW.TapCount - 1;
        var channels = ReadChannels(array.Channels, start - history + toW.LatencyFrames, history + length);
        var convolver = new BlockMatrixConvolver(toW, history + length);
        var field = Enumerable.Range(0, toW.Outputs).Select(_ => new float[history + length]).ToArray();
        convolver.Process(channels, (PlanarSpan)field);
        return field[0][history..];
    }

    private float[] ReadShifted(SpotEntry spot, double delaySamples, long start, int length)
    {
        var whole = (int)Math.Floor(delaySamples);
        var taps = new float[FractionalDelayKernel.TapCount];
        FractionalDelayKernel.Fill(delaySamples - whole, taps);
        // y[n] = Σ taps[k]·x[n + latency − whole − k]
        var reach = taps.Length - 1;
        var source = ReadMean(spot.Channels, start - whole + FractionalDelayKernel.LatencyFrames - reach, length + reach);
        var result = new float[length];
        for (var n = 0; n < length; n++)
        {
            var sum = 0f;
            for (var k = 0; k < taps.Length; k++)
                sum += taps[k] * source[n + reach - k];
            result[n] = (spot.Polarity ?? 1) * sum;
        }
        return result;
    }

    private float[] ReadMean(IReadOnlyList<int> channels, long start, int length)
    {
        var rows = ReadChannels(channels, start, length);
        var mean = rows[0];
        for (var n = 0; n < length && rows.Length > 1; n++)
            mean[n] = rows.Average(r => r[n]);
        return mean;
    }

    // Frames before the beginning and after the end are silence.
    private float[][] ReadChannels(IReadOnlyList<int> channels, long start, int length)
    {
        var first = Math.Clamp(start, 0, input.FrameCount);
        var count = (int)(Math.Clamp(start + length, 0, input.FrameCount) - first);
        var read = new float[]?[input.ChannelCount];
        foreach (var channel in channels)
            read[channel - 1] = new float[Math.Max(1, count)];
        input.Seek(first);
        input.Read(read, count);
        return [.. channels.Select(channel =>
        {
            var row = new float[length];
            read[channel - 1].AsSpan(0, count).CopyTo(row.AsSpan((int)(first - start)));
            return row;
        })];
    }
}
