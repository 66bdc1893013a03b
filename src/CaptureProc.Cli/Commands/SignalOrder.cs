using CaptureProc.Rendering.Signals;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>What signal was asked for; null where the usual value is meant.</summary>
internal sealed record SignalOrder(string Kind)
{
    private const double UsualSeconds = 30;
    private const double UsualSweepSeconds = 10;
    private const double UsualFrequencyHz = 997;

    public double LevelDbfs { get; init; }

    public double? Seconds { get; init; }

    public int SampleRateHz { get; init; }

    public int ChannelCount { get; init; }

    public double Seed { get; init; }

    public double? CrestDb { get; init; }

    public double? FrequencyHz { get; init; }

    public double? FromHz { get; init; }

    public double? ToHz { get; init; }

    public double? SpacingSeconds { get; init; }

    public TestSignal Make()
    {
        RefuseWhatDoesNotBelong();
        try
        {
            return Kind switch
            {
                "pink" => new PinkNoise(SampleRateHz, Frames(UsualSeconds), ChannelCount, LevelDbfs, CrestDb, (ulong)Seed),
                "sine" => new SineTone(SampleRateHz, Frames(UsualSeconds), ChannelCount, LevelDbfs, FrequencyHz ?? UsualFrequencyHz),
                "sweep" => new ExponentialSweep(SampleRateHz, Frames(UsualSweepSeconds), ChannelCount, LevelDbfs,
                    FromHz ?? 20, ToHz ?? Math.Min(20000, 0.45 * SampleRateHz)),
                "clicks" => new ClickTrain(SampleRateHz, Frames(UsualSeconds), ChannelCount, LevelDbfs, SpacingSeconds ?? 1),
                "idents" => new ChannelIdents(SampleRateHz, Frames(ChannelIdents.CallSeconds(ChannelCount)), ChannelCount, LevelDbfs),
                _ => throw new UnusableInputException("bad-arguments", $"there is no signal '{Kind}'; write pink, sine, sweep, clicks or idents"),
            };
        }
        catch (ArgumentException e)
        {
            throw new UnusableInputException("bad-signal", e.Message, e);
        }
    }

    // Rounded up, so that a call of idents that was asked for fits.
    private long Frames(double usualSeconds) => (long)Math.Ceiling((Seconds ?? usualSeconds) * SampleRateHz - 1e-6);

    // An option that does nothing hides a mistake.
    private void RefuseWhatDoesNotBelong()
    {
        foreach (var (option, isGiven, kind) in new[]
        {
            ("--crest", CrestDb is not null, "pink"), ("--frequency", FrequencyHz is not null, "sine"), ("--from-hz", FromHz is not null, "sweep"),
            ("--to-hz", ToHz is not null, "sweep"), ("--spacing", SpacingSeconds is not null, "clicks"),
        })
            if (isGiven && Kind != kind)
                throw new UnusableInputException("bad-arguments", $"{option} belongs to '{kind}', not to '{Kind}'; leave it out");
    }
}
