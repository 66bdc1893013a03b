using System.Runtime.Intrinsics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Loudness;

/// <summary>Momentary, short-term and integrated loudness, and loudness range, of loudspeaker or headphone signals.</summary>
/// <remarks>
/// Thread: [audio] after the constructor. Allocates: only in the constructor.
/// Shape:  planar blocks of ChannelCount channels; any number of frames a call.
/// Unit:   LUFS and LU; full scale is 1.0. −∞ until enough signal has come (0.4 s for momentary and integrated, 3 s for short-term).
/// Method: the weighted energy is kept in slices of 10 ms. Momentary (0.4 s) and short-term (3 s) slide by one slice, since a
///         0.4 s burst read only every 100 ms can come out 0.45 LU low; integrated and range use steps of 100 ms.
/// Not for a sound field: its channels are no loudspeaker feeds, and the standard has no method for them. Render it first.
/// Source: ITU-R BS.1770-5 (weights, gates −70 LUFS and −10 LU), EBU Tech 3341 (momentary, short-term), EBU Tech 3342
///         (range: 95th minus 10th percentile of short-term, gates −70 LUFS and −20 LU).
/// </remarks>
public sealed class LoudnessMeter
{
    private const int SlicesPerSecond = 100;
    private const int MomentarySlices = 40;
    private const int ShortTermSlices = 300;
    private const int SlicesPerStep = 10;
    private const double IntegratedGateLu = -10;
    private const double RangeGateLu = -20;

    private readonly int sampleRateHz;
    private readonly KWeightedEnergy[] filters;
    private readonly double[] slices = new double[ShortTermSlices];
    private readonly LoudnessHistogram momentaryBlocks = new();
    private readonly LoudnessHistogram shortTermBlocks = new();
    private List<double>? kept;
    private long slicesDone;
    private long framesDone;
    private double sliceEnergy;

    /// <param name="channelWeights">One weight a channel; 1 for stereo and mono. See <see cref="LoudnessScale.WeightOfLoudspeaker"/>.</param>
    public LoudnessMeter(int sampleRateHz, ReadOnlySpan<double> channelWeights)
    {
        if (channelWeights.IsEmpty)
            throw new ArgumentException("A loudness meter needs at least one channel.", nameof(channelWeights));
        this.sampleRateHz = sampleRateHz;
        ChannelCount = channelWeights.Length;
        var (shelf, highPass) = (KWeighting.Shelf(sampleRateHz), KWeighting.HighPass(sampleRateHz));
        filters = new KWeightedEnergy[(ChannelCount + KWeightedEnergy.Lanes - 1) / KWeightedEnergy.Lanes];
        Span<double> lanes = stackalloc double[KWeightedEnergy.Lanes];
        for (var group = 0; group < filters.Length; group++)
        {
            lanes.Clear();
            var own = channelWeights[(group * KWeightedEnergy.Lanes)..];
            own[..Math.Min(own.Length, KWeightedEnergy.Lanes)].CopyTo(lanes);
            filters[group] = new KWeightedEnergy(shelf, highPass, Vector256.Create<double>(lanes));
        }
        Reset();
    }

    public int ChannelCount { get; }

    /// <summary>Keeps the energy of every slice (800 bytes a second), so that <see cref="At"/> can be asked; not for the audio thread.</summary>
    public bool KeepsSlices
    {
        get => kept is not null;
        init => kept = value ? [] : null;
    }

    public double MomentaryLufs { get; private set; }

    public double ShortTermLufs { get; private set; }

    public double MaxMomentaryLufs { get; private set; }

    public double MaxShortTermLufs { get; private set; }

    public double IntegratedLufs => LoudnessScale.ToLufs(momentaryBlocks.GatedMeanPower(IntegratedGateLu));

    /// <summary>0 while there is nothing to compare.</summary>
    public double RangeLu
    {
        get
        {
            var (low, high) = shortTermBlocks.Percentiles(RangeGateLu, 0.10, 0.95);
            return double.IsNaN(low) ? 0 : high - low;
        }
    }

    public void Reset()
    {
        for (var group = 0; group < filters.Length; group++)
            filters[group].Reset();
        Array.Clear(slices);
        momentaryBlocks.Reset();
        shortTermBlocks.Reset();
        kept?.Clear();
        (slicesDone, framesDone, sliceEnergy) = (0, 0, 0);
        MomentaryLufs = ShortTermLufs = MaxMomentaryLufs = MaxShortTermLufs = double.NegativeInfinity;
    }

    /// <summary>A meter that has heard the same programme at another level. The gates stand still, so passages may have crossed them.</summary>
    /// <remarks>Needs <see cref="KeepsSlices"/>. Allocates. Error: what rounding the louder samples to single precision would add, below 1e-5 dB.</remarks>
    public LoudnessMeter At(double gainDb)
    {
        if (kept is null)
            throw new InvalidOperationException("This meter was made without KeepsSlices.");
        Span<double> weights = stackalloc double[ChannelCount];
        var other = new LoudnessMeter(sampleRateHz, weights);
        var power = Math.Pow(10, gainDb / 10);
        foreach (var energy in kept)
        {
            other.sliceEnergy = energy * power;
            other.CloseSlice();
        }
        return other;
    }

    public void Process(ReadOnlyPlanarSpan input)
    {
        var frames = input.Frames;
        for (var start = 0; start < frames;)
        {
            // Slice ends are computed from the start of the programme, so a rate that is no multiple of 100 does not drift.
            var sliceEnd = (slicesDone + 1) * sampleRateHz / SlicesPerSecond;
            var count = (int)Math.Min(frames - start, sliceEnd - framesDone);
            for (var group = 0; group < filters.Length; group++)
                sliceEnergy += EnergyOfGroup(group, input.Slice(start, count));
            start += count;
            framesDone += count;
            if (framesDone == sliceEnd)
                CloseSlice();
        }
    }

    private double EnergyOfGroup(int group, ReadOnlyPlanarSpan input)
    {
        var first = group * KWeightedEnergy.Lanes;
        var last = ChannelCount - 1;
        return filters[group].Process(input[first], input[Math.Min(first + 1, last)], input[Math.Min(first + 2, last)], input[Math.Min(first + 3, last)]);
    }

    private void CloseSlice()
    {
        kept?.Add(sliceEnergy);
        slices[slicesDone % ShortTermSlices] = sliceEnergy;
        sliceEnergy = 0;
        slicesDone++;
        var onStep = slicesDone % SlicesPerStep == 0;
        if (slicesDone >= MomentarySlices)
        {
            var power = MeanPower(MomentarySlices);
            MomentaryLufs = LoudnessScale.ToLufs(power);
            MaxMomentaryLufs = Math.Max(MaxMomentaryLufs, MomentaryLufs);
            if (onStep)
                momentaryBlocks.Add(power);
        }
        if (slicesDone >= ShortTermSlices)
        {
            var power = MeanPower(ShortTermSlices);
            ShortTermLufs = LoudnessScale.ToLufs(power);
            MaxShortTermLufs = Math.Max(MaxShortTermLufs, ShortTermLufs);
            if (onStep)
                shortTermBlocks.Add(power);
        }
    }

    private double MeanPower(int count)
    {
        // Summed afresh: a running sum would keep the rounding of a loud passage for ever.
        var sum = 0.0;
        for (var back = 1; back <= count; back++)
            sum += slices[(slicesDone - back) % ShortTermSlices];
        return sum * SlicesPerSecond / ((double)count * sampleRateHz);
    }
}
