using System.Globalization;
using CaptureProc.Dsp.Delay;

namespace CaptureProc.Rendering.Signals;

/// <summary>A slate that a machine claps: positive clicks at exactly known times, the same on every channel.</summary>
/// <remarks>
/// Click k stands at <see cref="TimeOfClickSeconds"/>, fractions of a frame included. Each is a band-limited impulse: flat to
/// 0.4 of the rate within 0.01 dB, gone at Nyquist. Its level is the peak, since a train has no RMS to speak of.
/// </remarks>
public sealed class ClickTrain : TestSignal
{
    // A sinc that is 6 dB down at 0.45 of the rate under a Kaiser window; β = 8 with 24 frames either side gives a transition of
    // 0.05 of the rate on each side and -80 dB beyond (Kaiser's formulas).
    private const double CutoffPerRate = 0.45;
    private const int ReachFrames = 48;
    private static readonly KaiserWindow Window = new(8);

    private readonly double peakDbfs, spacingSeconds, firstSeconds;

    /// <exception cref="ArgumentException">The spacing is too small, or the file too short for two clicks; the peak passes the largest true peak.</exception>
    public ClickTrain(int sampleRateHz, long frameCount, int channelCount, double peakDbfs, double spacingSeconds)
        : base(sampleRateHz, frameCount, channelCount)
    {
        if (!(spacingSeconds >= 0.05))
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"clicks {spacingSeconds:0.###} s apart run into one another; ask for a spacing of 0.05 s or more"));
        if (peakDbfs > MaxTruePeakDbtp)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"clicks of {peakDbfs:0.##} dBFS peak pass {MaxTruePeakDbtp:0} dBTP; ask for {MaxTruePeakDbtp:0} dB or less"));
        (this.peakDbfs, this.spacingSeconds) = (peakDbfs, spacingSeconds);
        firstSeconds = spacingSeconds / 2;
        var lastFittingSeconds = (frameCount - ReachFrames) / (double)sampleRateHz - firstSeconds;
        if (lastFittingSeconds < 0)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture,
                $"a file of {frameCount / (double)sampleRateHz:0.###} s holds no click at a spacing of {spacingSeconds:0.###} s; ask for more seconds or less spacing"));
        ClickCount = 1 + (int)Math.Floor(lastFittingSeconds / spacingSeconds + 1e-9);
    }

    public int ClickCount { get; }

    public override double TruePeakDbtp => peakDbfs;

    public override string Description => string.Create(CultureInfo.InvariantCulture,
        $"{ClickCount} clicks of {peakDbfs:0.00} dBFS peak, the first at {firstSeconds:0.000} s, {spacingSeconds:0.000} s apart");

    /// <summary>Time of click k, from 0: half a spacing, then one spacing after the other.</summary>
    public double TimeOfClickSeconds(int k) => firstSeconds + k * spacingSeconds;

    public override void Render(int channel, long firstFrame, Span<double> samples)
    {
        samples.Clear();
        var peak = Math.Pow(10, peakDbfs / 20);
        var first = Math.Max(0, (int)Math.Floor(((firstFrame - ReachFrames) / (double)SampleRateHz - firstSeconds) / spacingSeconds));
        for (var k = first; k < ClickCount; k++)
        {
            var atFrames = TimeOfClickSeconds(k) * SampleRateHz;
            var from = (long)Math.Ceiling(atFrames - ReachFrames);
            if (from >= firstFrame + samples.Length)
                break;
            for (var frame = Math.Max(from, firstFrame); frame < Math.Min(atFrames + ReachFrames, firstFrame + samples.Length); frame++)
                samples[(int)(frame - firstFrame)] += peak * Shape(frame - atFrames);
        }
    }

    private static double Shape(double frames) => Sinc.At(2 * CutoffPerRate * frames) * Window.Evaluate(frames / ReachFrames);
}
