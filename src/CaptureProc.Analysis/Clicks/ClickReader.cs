using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What one spot recorded of a click.</summary>
public sealed record SpotExcerpt(ChannelExcerpt Channel, SpotOnset? Onset, ResponsePrior Prior);

/// <summary>What everybody recorded of a click.</summary>
/// <param name="FirstFrame">Frame of the recording at the excerpts' sample 0.</param>
/// <param name="Array">Made ready when it is asked for, and only until the reader reads on: most sudden sounds are no claps.</param>
public sealed record ClickExcerpt(long FirstFrame, Lazy<ArrayExcerpt> Array, IReadOnlyList<SpotExcerpt> Spots);

/// <summary>Cuts clicks out of a recording and makes them ready to be measured.</summary>
/// <remarks>Thread: one instance a thread; only reading the source is shared, and locked.</remarks>
public sealed class ClickReader
{
    private readonly IFrameSource source;
    private readonly SlateInput input;
    private readonly ArrayModel array;
    private readonly ArrayModel?[] spotArrays;
    private readonly Excerpts excerpts;
    private readonly float[][] planar;

    public ClickReader(IFrameSource source, SlateInput input)
    {
        (this.source, this.input) = (source, input);
        excerpts = new Excerpts(input.SampleRateHz);
        array = new ArrayModel(input.Array, excerpts.SampleRateHz, input.SpeedOfSoundMps);
        spotArrays = [.. input.Spots.Select(s => s.Capsules is { } capsules
            ? new ArrayModel(capsules, excerpts.SampleRateHz, input.SpeedOfSoundMps) : null)];
        planar = new float[source.ChannelCount][];
        foreach (var channel in input.Spots.SelectMany(s => s.Set.Channels).Concat(input.ArraySet.Channels))
            planar[channel] = new float[excerpts.RawLength];
        Estimator = new ArrivalEstimator(array);
    }

    public ArrivalEstimator Estimator { get; }

    public double WorkingRateHz => excerpts.SampleRateHz;

    public int Decimation => excerpts.Decimation;

    /// <param name="frame">Where the click is heard first.</param>
    public ClickExcerpt Read(long frame)
    {
        var first = frame - (long)Excerpts.Before * Decimation;
        lock (source)
            source.Read(first, planar, excerpts.RawLength);
        return new ClickExcerpt(first, new Lazy<ArrayExcerpt>(() => new ArrayExcerpt(array, [.. Channels(input.ArraySet).Select(c => c.Samples)])),
            HearingOrder.Settle([.. input.Spots.Select(ReadSpot)], this));
    }

    private SpotExcerpt ReadSpot(SpotInput spot, int index)
    {
        ChannelExcerpt[] channels = [.. Channels(spot.Set)];
        var channel = channels[0];
        if (spotArrays[index] is { } model)
            channel = SpotArray.ToPressure(model, channels);
        else if (channels.Length > 1)
            channel = Sum(channels);
        return new SpotExcerpt(channel, SpotOnset.Find(channel.Samples, WorkingRateHz),
            spot.Capsules is null ? ResponsePrior.DirectionalSpot : ResponsePrior.CapsuleArray);
    }

    private IEnumerable<ChannelExcerpt> Channels(ChannelSet set)
    {
        var recorded = new double[excerpts.RawLength];
        for (var i = 0; i < set.Channels.Count; i++)
        {
            var samples = planar[set.Channels[i]];
            for (var n = 0; n < recorded.Length; n++)
                recorded[n] = samples[n] * set.Gains[i];
            yield return excerpts.Make(recorded);
        }
    }

    private static ChannelExcerpt Sum(ChannelExcerpt[] channels)
    {
        var sum = new double[Excerpts.Size];
        foreach (var channel in channels)
            for (var n = 0; n < sum.Length; n++)
                sum[n] += channel.Samples[n];
        return new ChannelExcerpt(sum, [.. channels.SelectMany(c => c.Clipped).Distinct().Order()]);
    }
}
