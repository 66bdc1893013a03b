using System.Numerics;
using System.Runtime.InteropServices;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>Cuts the channels into frames under a sine window and takes the statistics of each.</summary>
/// <remarks>
/// Thread: constructor [main], the rest [audio]. Allocates: never afterwards. Any block length; frames overlap by half.
/// A frame is worked on while the next one comes in, one transform at a time at fixed frames of the stream: all at once would
/// take a third of a short block, and by the stream's own count it is the same for any cutting into blocks.
/// The sine window squared adds up to 1 over overlapping frames, so nothing of the signal is weighted down: the sum of all
/// hops uses the noise as fully as its plain mean square would. A Hann window would throw a twentieth of it away.
/// Cost: one transform a channel and hop, none for a silent channel.
/// </remarks>
public sealed class HopAnalyser
{
    // -120 dBFS: a channel that is so silent carries nothing that a transform could tell.
    private const double SilentMeanSquare = 0.5e-12;

    private const float FullScale = 1 - 1f / (1 << 15);

    // A hop has room for a stage a channel and one for what they have in common, and a rest.
    private const int StopsPerHop = 8;

    private readonly ThirdOctaves bands;
    private readonly RealFft<double> fft;
    private readonly float[] history, held;
    private readonly double[] window, frame, re, im;
    private readonly int channels;
    private int filled, stage;
    private long hops;

    public HopAnalyser(ThirdOctaves bands, int channels)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channels, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(channels, HopStatistics.MaxChannels);
        (this.bands, this.channels) = (bands, channels);
        fft = new RealFft<double>(bands.FrameLength);
        history = FlatArray.New<float>(channels * bands.FrameLength);
        held = FlatArray.New<float>(channels * bands.FrameLength);
        frame = FlatArray.New<double>(bands.FrameLength);
        window = FlatArray.New<double>(bands.FrameLength);
        for (var n = 0; n < window.Length; n++)
            window[n] = Math.Sin(Math.PI * (n + 0.5) / window.Length);
        (re, im) = (FlatArray.New<double>(channels * fft.BinCount), FlatArray.New<double>(channels * fft.BinCount));
        Reset();
    }

    // Where in the frame that comes in the next piece of work waits; the frame's end where there is none.
    private int NextStop => stage <= channels ? bands.HopLength + (stage + 1) * (bands.HopLength / StopsPerHop) : bands.FrameLength;

    /// <summary>Takes frames up to the end of the block or to the next piece of work, whichever comes first.</summary>
    /// <param name="block">The channels.</param>
    /// <param name="firstFrame">Where in the block to begin.</param>
    /// <param name="isUsable">False takes the block for silence.</param>
    /// <param name="hop">Filled piece by piece: the same one until it is complete.</param>
    /// <param name="isComplete">Whether it is.</param>
    /// <returns>How many frames were taken.</returns>
    public int Take(ReadOnlyPlanarSpan block, int firstFrame, bool isUsable, HopStatistics hop, out bool isComplete)
    {
        var length = bands.FrameLength;
        var count = Math.Min(block.Frames - firstFrame, NextStop - filled);
        for (var channel = 0; channel < channels; channel++)
        {
            var target = history.AsSpan(channel * length + filled, count);
            if (isUsable)
                block[channel].Slice(firstFrame, count).CopyTo(target);
            else
                target.Clear();
        }
        filled += count;
        isComplete = false;
        if (filled != NextStop)
            return count;
        if (filled < length)
        {
            Work(hop);
            isComplete = stage > channels;
        }
        else
        {
            Hold();
        }
        return count;
    }

    /// <summary>Whitened power of a bin in the last hop.</summary>
    public double BinPower(int channel, int bin)
    {
        var at = channel * fft.BinCount + bin;
        return bands.WhiteningWeight[bin] * (re[at] * re[at] + im[at] * im[at]);
    }

    public void Reset() => (filled, hops, stage) = (0, 0, channels + 1);

    // A whole frame is there: put it aside, and make room for the next half.
    private void Hold()
    {
        var length = bands.FrameLength;
        history.CopyTo(held, 0);
        for (var channel = 0; channel < channels; channel++)
            history.AsSpan(channel * length + length / 2, length / 2).CopyTo(history.AsSpan(channel * length, length / 2));
        (filled, stage) = (length / 2, 0);
    }

    private void Work(HopStatistics hop)
    {
        if (stage < channels)
        {
            Transform(stage, hop);
        }
        else
        {
            for (var i = 0; i < channels; i++)
                for (var j = i; j < channels; j++)
                    Cross(i, j, hop);
            hop.Index = hops++;
        }
        stage++;
    }

    private void Transform(int channel, HopStatistics hop)
    {
        var samples = held.AsSpan(channel * bands.FrameLength, bands.FrameLength);
        Watch(samples, channel, hop);
        var ownRe = Spectrum(re, channel);
        var ownIm = Spectrum(im, channel);
        if (hop.MeanSquare[channel] < SilentMeanSquare)
        {
            ownRe.Clear();
            ownIm.Clear();
            return;
        }
        for (var n = 0; n < frame.Length; n++)
            frame[n] = samples[n] * window[n];
        fft.Forward(frame, ownRe, ownIm);
    }

    private Span<double> Spectrum(double[] part, int channel) => part.AsSpan(channel * fft.BinCount, fft.BinCount);

    private static void Watch(ReadOnlySpan<float> samples, int channel, HopStatistics hop)
    {
        var (sum, peak) = (0.0, 0f);
        foreach (var sample in samples)
        {
            sum += (double)sample * sample;
            peak = Math.Max(peak, Math.Abs(sample));
        }
        // Flat tops only count where they are the tops; the first half of the frame was looked at with the hop before.
        var (tops, run) = (0, 0);
        for (var n = samples.Length / 2; n < samples.Length; n++)
        {
            var size = Math.Abs(samples[n]);
            run = size >= peak && size > 0 && samples[n] == samples[n - 1] ? run + 1 : 0;
            if (run == 2 || (size >= FullScale && run == 0))
                tops++;
        }
        hop.MeanSquare[channel] = sum / samples.Length;
        hop.Peak[channel] = peak;
        hop.FlatTops[channel] = tops;
    }

    private void Cross(int i, int j, HopStatistics hop)
    {
        var reI = Spectrum(re, i);
        var imI = Spectrum(im, i);
        var reJ = Spectrum(re, j);
        var imJ = Spectrum(im, j);
        var pair = HopStatistics.Pair(i, j);
        var total = 0.0;
        for (var band = 0; band < bands.Count; band++)
        {
            var (from, count) = (bands.FirstBin[band], bands.BinsOf(band));
            Cross(reI.Slice(from, count), imI.Slice(from, count), reJ.Slice(from, count), imJ.Slice(from, count),
                bands.WhiteningWeight.Slice(from, count), out var real, out var imaginary);
            hop.CrossRe[pair * bands.Count + band] = real;
            hop.CrossIm[pair * bands.Count + band] = imaginary;
            total += real;
        }
        hop.Total[pair] = total;
    }

    // Σ w·X_i·conj X_j.
    private static void Cross(ReadOnlySpan<double> reI, ReadOnlySpan<double> imI, ReadOnlySpan<double> reJ, ReadOnlySpan<double> imJ,
        ReadOnlySpan<double> weight, out double real, out double imaginary)
    {
        Vector<double> sumRe = default, sumIm = default;
        var a = Lanes(reI);
        var b = Lanes(imI);
        var c = Lanes(reJ);
        var d = Lanes(imJ);
        var w = Lanes(weight);
        for (var v = 0; v < a.Length; v++)
        {
            sumRe += w[v] * (a[v] * c[v] + b[v] * d[v]);
            sumIm += w[v] * (b[v] * c[v] - a[v] * d[v]);
        }
        (real, imaginary) = (Vector.Sum(sumRe), Vector.Sum(sumIm));
        for (var k = a.Length * Vector<double>.Count; k < reI.Length; k++)
        {
            real += weight[k] * (reI[k] * reJ[k] + imI[k] * imJ[k]);
            imaginary += weight[k] * (imI[k] * reJ[k] - reI[k] * imJ[k]);
        }
    }

    private static ReadOnlySpan<Vector<double>> Lanes(ReadOnlySpan<double> values) => MemoryMarshal.Cast<double, Vector<double>>(values);
}
