using CaptureProc.Analysis.LineUp;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Views;

/// <summary>The line-up noise in third-octave bands, channel by channel, against the mean of all four.</summary>
/// <param name="CentreHz">Of each band.</param>
/// <param name="Channels">Channel numbers of the recording.</param>
/// <param name="DeviationDb">Channel by channel: level in the band less the mean of the array's channels there, as recorded; NaN where nothing was heard.</param>
/// <param name="TrimDb">Of the set in use, for each channel.</param>
internal sealed record SpectraView(IReadOnlyList<double> CentreHz, IReadOnlyList<int> Channels, IReadOnlyList<double[]> DeviationDb, IReadOnlyList<double> TrimDb)
{
    public static SpectraView Of(SessionDocument session, IReadOnlyList<string> paths, string? arrayId)
    {
        var array = session.FindArray(arrayId);
        using var input = WavInput.Open(new TakeFiles(paths));
        input.RequireSampleRate(session.SampleRate);
        input.RequireChannels(array.Channels, $"array '{array.Id}'");
        var record = LineUpListener.Of(input, array.Channels).Record;
        var count = array.Channels.Count;
        var level = new double[count][];
        for (var c = 0; c < count; c++)
            level[c] = Levels(record, c);
        for (var band = 0; band < record.Bands.Count; band++)
        {
            var mean = level.Average(l => l[band]);
            foreach (var channel in level)
                channel[band] -= mean;
        }
        return new SpectraView([.. record.Bands.CentreHz], array.Channels, level, array.TrimDb());
    }

    /// <summary>Over all stretches in which the channel carried noise, alone or with others.</summary>
    private static double[] Levels(LineUpRecord record, int channel)
    {
        var (power, hops) = (new double[record.Bands.Count], 0);
        for (var mask = 1; mask < 1 << record.ChannelCount; mask++)
        {
            if (!HopStatistics.Has(mask, channel))
                continue;
            var feed = record.Feed(mask);
            hops += feed.HopCount;
            for (var band = 0; band < power.Length; band++)
                power[band] += feed.CrossRe[HopStatistics.Pair(channel, channel) * record.Bands.Count + band];
        }
        return [.. power.Select(p => hops == 0 || p <= 0 ? double.NaN : 10 * Math.Log10(p / hops))];
    }
}
