using System.Globalization;

namespace CaptureProc.Rendering.Signals;

/// <summary>Every channel says which it is: channel n gives n short pips, one channel after the other.</summary>
/// <remarks>
/// Pips are of 1 kHz, in fives with a pause after every five, because nobody counts eleven in a row.
/// Between two channels there is a longer pause; the whole call is repeated while it fits.
/// </remarks>
public sealed class ChannelIdents : TestSignal
{
    private const double FrequencyHz = 1000;
    private const double PipSeconds = 0.08;
    private const double PipFadeSeconds = 0.01;
    private const double StepSeconds = 0.2;
    private const double FiveSeconds = 0.3;
    private const double PauseSeconds = 0.7;

    private readonly double levelDbfs;
    private readonly int callCount;

    /// <exception cref="ArgumentException">The file is too short for one call; the level passes the largest true peak.</exception>
    public ChannelIdents(int sampleRateHz, long frameCount, int channelCount, double levelDbfs)
        : base(sampleRateHz, frameCount, channelCount)
    {
        if (levelDbfs > MaxTruePeakDbtp)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"pips at {levelDbfs:0.##} dBFS peak at {levelDbfs:0.##} dBTP, above {MaxTruePeakDbtp:0} dBTP; ask for {MaxTruePeakDbtp:0} dBFS or less"));
        this.levelDbfs = levelDbfs;
        callCount = (int)(frameCount / (CallSeconds(channelCount) * sampleRateHz));
        if (callCount < 1)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"calling {channelCount} channels takes {CallSeconds(channelCount):0.0} s; ask for that many seconds or more"));
    }

    public override double TruePeakDbtp => levelDbfs;

    public override string Description => string.Create(CultureInfo.InvariantCulture,
        $"channel n gives n pips of {FrequencyHz:0} Hz at {levelDbfs:0.00} dBFS RMS, one channel after the other, {callCount} times");

    /// <summary>How long it takes until every channel has said its number.</summary>
    public static double CallSeconds(int channelCount)
    {
        var seconds = 0.0;
        for (var channel = 0; channel < channelCount; channel++)
            seconds += TurnSeconds(channel);
        return seconds;
    }

    /// <summary>When pip k (from 0) of a channel (from 0) starts within a call.</summary>
    public static double PipStartSeconds(int channel, int k) => CallSeconds(channel) + PauseSeconds / 2 + k * StepSeconds + k / 5 * FiveSeconds;

    public override void Render(int channel, long firstFrame, Span<double> samples)
    {
        samples.Clear();
        var amplitude = Math.Pow(10, levelDbfs / 20);
        for (var call = 0; call < callCount; call++)
        {
            for (var k = 0; k <= channel; k++)
            {
                var startFrames = (call * CallSeconds(ChannelCount) + PipStartSeconds(channel, k)) * SampleRateHz;
                var from = Math.Max(firstFrame, (long)Math.Ceiling(startFrames));
                var to = Math.Min(firstFrame + samples.Length, (long)Math.Ceiling(startFrames + PipSeconds * SampleRateHz));
                for (var frame = from; frame < to; frame++)
                {
                    var t = (frame - startFrames) / SampleRateHz;
                    samples[(int)(frame - firstFrame)] = amplitude * Math.Sin(2 * Math.PI * FrequencyHz * t) * Weight(t);
                }
            }
        }
    }

    private static double TurnSeconds(int channel) => PauseSeconds + channel * StepSeconds + channel / 5 * FiveSeconds + PipSeconds;

    private static double Weight(double t)
    {
        var fromEdge = Math.Min(t, PipSeconds - t);
        if (fromEdge >= PipFadeSeconds)
            return 1;
        var sine = Math.Sin(Math.PI / 2 * Math.Max(0, fromEdge / PipFadeSeconds));
        return sine * sine;
    }
}
