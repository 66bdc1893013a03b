using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Placement;

/// <summary>Listens to a stretch of music through the array: what comes from ahead, from all round, and straight from the players.</summary>
/// <remarks>
/// Thread: [main]. Memory: independent of the length (two frames of 2.7 s a channel, and some numbers a bin). One pass.
/// Errors: <see cref="UnusableInputException"/> for a stretch that is silent or shorter than <see cref="ShortestSeconds"/>.
/// </remarks>
public sealed class RehearsalMeasurement
{
    /// <summary>Below this a few notes decide, and a few notes say little about a room.</summary>
    public const double ShortestSeconds = 5;

    // Longer than most rooms ring: the decays that follow a note belong to the frame of the note.
    private const double LongFrameSeconds = 2;

    // -80 dBFS: no orchestra is so soft in a recorder whose gain anybody has looked at.
    private const double SilenceMeanSquare = 0.5e-8;

    private readonly IFrameSource source;
    private readonly PlacementInput input;
    private readonly FrontAndBack frontAndBack = new();
    private readonly Diffuseness diffuseness;
    private readonly StreamedFrames frames;
    private readonly FieldMoments[] moments;
    private readonly DirectThroughSpots? spots;

    public RehearsalMeasurement(IFrameSource source, PlacementInput input)
    {
        (this.source, this.input) = (source, input);
        var size = StreamedFrames.SizeOf(LongFrameSeconds, input.SampleRateHz);
        var bins = (int)((input.Bands.Count == 0 ? 0 : input.Bands[^1].HighHz) * size / input.SampleRateHz) + 2;
        diffuseness = new Diffuseness(input.Bands, input.SampleRateHz);
        frames = new StreamedFrames(4 + input.Players.Count, size, bins, Hear);
        moments = new FieldMoments[frames.BinCount];
        spots = input.Players.Count > 0 ? new DirectThroughSpots(input, frames, input.Field.LatencyFrames) : null;
    }

    /// <param name="firstFrame">Where the stretch begins.</param>
    /// <param name="endFrame">Where it ends.</param>
    /// <param name="progress">Told the share that is done.</param>
    public RehearsalResult Measure(long firstFrame, long endFrame, IProgress<double>? progress = null)
    {
        if (endFrame - firstFrame < ShortestSeconds * input.SampleRateHz)
            throw new UnusableInputException("too-short", FormattableString.Invariant(
                $"the stretch is {Math.Max(0, endFrame - firstFrame) / input.SampleRateHz:0.0} s long; at least {ShortestSeconds:0} s of music are needed, a minute is better"));
        var reader = new RehearsalReader(source, input);
        var meanSquare = 0.0;
        for (var at = firstFrame; at < endFrame;)
        {
            var count = (int)Math.Min(reader.MaxFrames, endFrame - at);
            var channels = reader.Read(at, count);
            meanSquare += SignalPower.SumOfSquares(channels[0].AsSpan(0, count)) / (endFrame - firstFrame);
            frontAndBack.Add(channels, count);
            diffuseness.Add(channels, count);
            frames.Add(channels, count);
            at += count;
            progress?.Report((double)(at - firstFrame) / (endFrame - firstFrame));
        }
        if (!(meanSquare > SilenceMeanSquare))
            throw new UnusableInputException("silence", FormattableString.Invariant(
                $"the array's channels are silent from {firstFrame / input.SampleRateHz:0.0} to {endFrame / input.SampleRateHz:0.0} s; choose a stretch with music in it, or check the session's channels"));
        diffuseness.Finish();
        frames.Finish();
        var velocity = VelocityLevel.Of(moments, input.Bands, input.SampleRateHz / frames.Size);
        return new RehearsalResult(frontAndBack.RatioDb ?? 0, 10 * Math.Log10(2 * meanSquare), [.. Bands(velocity)], spots?.PartialCount())
        {
            FieldDoubtDb = spots?.FieldDoubtDb(velocity) ?? 0,
        };
    }

    private void Hear()
    {
        for (var k = 0; k < moments.Length; k++)
            moments[k].AddBin(frames, k);
        spots?.Hear();
    }

    private IEnumerable<BandResult> Bands(VelocityLevel velocity)
    {
        var through = spots?.Result(velocity);
        var binHz = input.SampleRateHz / frames.Size;
        for (var b = 0; b < input.Bands.Count; b++)
        {
            var (first, end) = input.Bands[b].Bins(binHz);
            FieldMoments[] bins = [.. moments[first..Math.Min(end, moments.Length)].Select(m => m.WithVelocityOver(velocity.Factors[b]))];
            var power = 0.0;
            foreach (var bin in bins)
                power += bin.Pressure;
            var alone = PlaneWaveShare.DirectToRest(bins);
            // The array alone knows a share, not a power: it is the share of the energy that there is.
            var fromArray = new BandPower(power * (alone ?? 0) / (1 + (alone ?? 0)), power / (1 + (alone ?? 0)), 0);
            yield return new BandResult(input.Bands[b], power, diffuseness.Of(b), fromArray, through?[b]);
        }
    }
}
