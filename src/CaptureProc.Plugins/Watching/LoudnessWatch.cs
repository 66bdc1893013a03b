using CaptureProc.Dsp.Loudness;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Plugins.Watching;

/// <summary>Loudness and true peak of what is heard, measured while a window shows them.</summary>
/// <remarks>
/// Thread: Prepare [main], Add [audio], the rest [main]. Allocates: when it is first watched, and in Prepare from then on: most instances never are.
/// Integrated loudness runs from when the window was opened, or from the last <see cref="Begin"/>.
/// </remarks>
internal sealed class LoudnessWatch
{
    // Momentary and short-term come every 10 ms; the gated mean walks through a histogram, so it comes less often.
    private const double IntegrateEverySeconds = 0.5;

    private volatile Meters? meters;
    private double sampleRateHz;
    private double momentary = double.NegativeInfinity, shortTerm = double.NegativeInfinity, integrated = double.NegativeInfinity, truePeak = double.NegativeInfinity;
    private int framesBetween = 24000, framesSince;
    private volatile bool isWatched, isToBegin = true;

    public bool IsWatched
    {
        get => isWatched;
        set
        {
            if (value && meters is null)
                Equip();
            isWatched = value;
        }
    }

    public double MomentaryLufs => Volatile.Read(ref momentary);

    public double ShortTermLufs => Volatile.Read(ref shortTerm);

    public double IntegratedLufs => Volatile.Read(ref integrated);

    public double TruePeakDbtp => Volatile.Read(ref truePeak);

    public void Prepare(double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        framesBetween = Math.Max(1, (int)(IntegrateEverySeconds * sampleRateHz));
        if (isWatched || meters is not null)
            Equip();
    }

    /// <summary>Starts the integrated loudness and the highest peak afresh.</summary>
    public void Begin() => isToBegin = true;

    /// <summary>Takes a part of a block of two channels.</summary>
    public void Add(ReadOnlyPlanarSpan heard)
    {
        if (!isWatched || meters is not ({ } meter, { } highest))
            return;
        if (isToBegin)
        {
            isToBegin = false;
            meter.Reset();
            highest.Reset();
            framesSince = framesBetween;
        }
        meter.Process(heard);
        highest.Process(heard);
        Volatile.Write(ref momentary, meter.MomentaryLufs);
        Volatile.Write(ref shortTerm, meter.ShortTermLufs);
        Volatile.Write(ref truePeak, highest.MaxPeakDbtp);
        framesSince += heard.Frames;
        if (framesSince < framesBetween)
            return;
        framesSince = 0;
        Volatile.Write(ref integrated, meter.IntegratedLufs);
    }

    private void Equip()
    {
        var rate = (int)Math.Round(sampleRateHz);
        if (rate < KWeighting.MinSampleRateHz)
            return;
        isToBegin = true;
        meters = new Meters(new LoudnessMeter(rate, [1, 1]), new TruePeakMeter(rate, 2));
    }

    private sealed record Meters(LoudnessMeter Loudness, TruePeakMeter Peaks);
}
