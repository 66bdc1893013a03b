using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Analysis.Stage;

/// <summary>An array beside the main one.</summary>
public sealed record FurtherArray(string Id, CapsuleArray Capsules, ChannelSet Set);

/// <summary>A clap as everybody heard it.</summary>
/// <param name="TimeSeconds">As the slate has it.</param>
/// <param name="Owner">Spot that it was made at; −1 = none.</param>
/// <param name="Nearest">Spot whose recording the others were compared with.</param>
/// <param name="Heard">Times and directions; null where not even one microphone and the main array heard it.</param>
/// <param name="Levels">Direct sound at every spot over that at the nearest one, in dB; null where none was found.</param>
/// <param name="ArrayLevelDb">The same in the main array.</param>
public sealed record HeardClap(double TimeSeconds, int Owner, int Nearest, StageClap Heard, IReadOnlyList<double?> Levels, double? ArrayLevelDb);

/// <summary>Listens once more to every clap of a slate: when does each array and each spot hear it?</summary>
/// <remarks>
/// Thread: [main]; uses as many threads as there are processors. Cost: some ten milliseconds a clap and array, one a spot.
/// The arrays by the estimator of the delays, everybody else by <see cref="DirectSound"/>.
/// </remarks>
public sealed class StageHearing(IFrameSource source, SlateInput input, IReadOnlyList<FurtherArray> further)
{
    /// <summary>Hands are no point, a response away from the axis is another one, and the air moves: 9 mm of way.</summary>
    public const double SystematicSeconds = 2.5e-5;

    /// <summary>A direct sound weaker than this against the noise may as well be chance among reflections.</summary>
    private const double LeastSignificance = 6;

    /// <summary>A metre of way.</summary>
    private const double NearSeconds = 0.003;

    /// <summary>No capsule's axis is known better than this.</summary>
    private const double AxisRad = 0.4 * Math.PI / 180;

    public IReadOnlyList<HeardClap> Listen(IReadOnlyList<ClickResult> clicks)
    {
        var heard = new HeardClap?[clicks.Count];
        Parallel.For(0, clicks.Count, NewReaders, (i, _, readers) =>
        {
            heard[i] = Listen(readers, clicks[i]);
            return readers;
        }, _ => { });
        return [.. heard.OfType<HeardClap>()];
    }

    private ClickReader[] NewReaders() =>
    [
        new ClickReader(source, input),
        .. further.Select(a => new ClickReader(source, input with { Array = a.Capsules, ArraySet = a.Set, Spots = [] })),
    ];

    private HeardClap? Listen(ClickReader[] readers, ClickResult clap)
    {
        var main = readers[0];
        var rate = main.WorkingRateHz;
        var frame = (long)(clap.TimeSeconds * input.SampleRateHz);
        var excerpt = main.Read(frame);
        var nearest = Nearest(excerpt, clap.Spot, (int)(NearSeconds * rate));
        if (nearest < 0 || excerpt.Spots[nearest].Onset is not { } onset)
            return null;
        var (own, prior) = (excerpt.Spots[nearest].Channel, excerpt.Spots[nearest].Prior);
        var click = main.Estimator.Prepare(own, onset.Sample);
        var times = new List<HeardTime> { new(1 + further.Count + nearest, onset.Sample / rate, SystematicSeconds) };
        var directions = new List<HeardDirection>();
        double? arrayLevelDb = null;
        for (var array = 0; array <= further.Count; array++)
        {
            var there = array == 0 ? excerpt : readers[array].Read(frame);
            if (readers[array].Estimator.Estimate(there.Array.Value, click, onset.Sample, prior) is not { } arrival || ArrivalConfidence.Of(arrival) < 0.3)
                continue;
            times.Add(new(array, (onset.Sample + arrival.DelaySamples) / rate, Sigma(arrival.DelaySigma / rate)));
            directions.Add(new(array, arrival.Direction.Direction, Math.Sqrt(AxisRad * AxisRad + arrival.Direction.SigmaRad * arrival.Direction.SigmaRad)));
            if (array == 0)
                arrayLevelDb = 20 * Math.Log10(Math.Abs(arrival.Gain));
        }
        var levels = new double?[excerpt.Spots.Count];
        levels[nearest] = 0;
        for (var spot = 0; spot < levels.Length; spot++)
        {
            if (spot == nearest || DirectSound.Find(excerpt.Spots[spot].Channel.Samples, click, onset.Sample, rate) is not { Significance: >= LeastSignificance } direct)
                continue;
            times.Add(new(1 + further.Count + spot, (onset.Sample + direct.LaterSamples) / rate, Sigma(0.5 / (direct.Significance * rate))));
            levels[spot] = 20 * Math.Log10(Math.Abs(direct.Gain));
        }
        return new HeardClap(clap.TimeSeconds, clap.Spot, nearest, new StageClap(clap.Spot >= 0 ? clap.Spot : null, times, directions), levels, arrayLevelDb);
    }

    private static double Sigma(double byChanceSeconds) => Math.Sqrt(SystematicSeconds * SystematicSeconds + byChanceSeconds * byChanceSeconds);

    /// <summary>The clap's own spot, or the first to hear it well, where somebody hears it a metre sooner: then it was made there.</summary>
    private static int Nearest(ClickExcerpt excerpt, int own, int nearSamples)
    {
        var loudest = excerpt.Spots.Max(s => s.Onset?.AboveBackground ?? 0);
        var first = Enumerable.Range(0, excerpt.Spots.Count).Where(s => excerpt.Spots[s].Onset is { } o && o.AboveBackground > 0.02 * loudest)
            .OrderBy(s => excerpt.Spots[s].Onset!.Value.Sample).FirstOrDefault(-1);
        return first >= 0 && own >= 0 && excerpt.Spots[own].Onset is { } heard && heard.Sample <= excerpt.Spots[first].Onset!.Value.Sample + nearSamples ? own : first;
    }
}
