using CaptureProc.Dsp.LineUp;
using CaptureProc.Session;

namespace CaptureProc.Analysis.LineUp;

/// <summary>The diffuse-field line-up as a report.</summary>
public static class DiffuseReport
{
    // Coherence of capsules in a room is 2/3 and less; through a cable it is 1.
    private const double CableCoherence = 0.98;
    private const double FewDirections = 12;

    public static LineUpReport Of(DiffuseStatistics statistics, ArrayEntry array, double speedOfSoundMps, int reference, double toleranceDb)
    {
        ArgumentNullException.ThrowIfNull(statistics);
        ArgumentNullException.ThrowIfNull(array);
        var (problems, notes) = (new List<string>(), new List<string>());
        // A bin is the inverse of a frame, and hops are half a frame apart.
        var seconds = statistics.HopCount / (2 * statistics.Bands.BinHz);
        var result = IsCable(statistics) ? null : DiffuseLineUp.Estimate(statistics, array.ToCapsuleArray(), speedOfSoundMps, reference);
        if (result is null)
        {
            problems.Add(IsCable(statistics)
                ? "all channels hear one signal, as through cables: this is no room; leave --diffuse out"
                : "there is too little sound in this recording for a diffuse-field line-up; give a minute of applause or room noise");
        }
        else
        {
            notes.Add(FormattableString.Invariant($"the surround was as uneven as sound from {result.DirectionCount:0} directions of equal strength"));
            if (result.DirectionCount < FewDirections)
                problems.Add("the sound came from too few directions for close intervals; record applause, or room noise from all round, at a place in the middle of it");
        }
        var channels = array.Channels.Select((number, c) =>
        {
            var levelDbfs = 10 * Math.Log10(2 * statistics.MeanSquare(c));
            var gain = result is null ? default : new GainDifference(result.GainDb[c], c == reference ? 0 : result.UncertaintyDb[c], LineUpWay.Diffuse, seconds, false);
            return new ChannelLineUp(number, levelDbfs, gain, double.NaN, double.NaN, double.NaN, []);
        }).ToList();
        return new LineUpReport(array.Channels[reference], toleranceDb, channels, false, problems, notes) { HasTrims = result is not null };
    }

    private static bool IsCable(DiffuseStatistics statistics)
    {
        if (statistics.HopCount == 0)
            return false;
        for (var band = 0; band < statistics.Bands.Count; band++)
        {
            var cross = statistics.Cross(band, 0, 1).Magnitude;
            if (statistics.Bands.CentreHz[band] > 500 && cross * cross < CableCoherence * statistics.Cross(band, 0, 0).Real * statistics.Cross(band, 1, 1).Real)
                return false;
        }
        return true;
    }
}
