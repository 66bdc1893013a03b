namespace CaptureProc.Screen.Controls;

/// <summary>How a meter's bar and its peak move on the screen: up at once, down smoothly.</summary>
/// <remarks>The fall of 20 dB in 1.7 s is that of a quasi-peak programme meter (IEC 60268-10, type I); a peak is held for 2 s.</remarks>
public struct Ballistics
{
    private const double FallDbPerSecond = 20 / 1.7, HoldMilliseconds = 2000;

    // Beyond the lowest that any scale shows.
    private const double SilenceDb = -140;

    private long last, peakAt;

    public Ballistics() => (LevelDb, PeakDb) = (SilenceDb, SilenceDb);

    public double LevelDb { get; private set; }

    public double PeakDb { get; private set; }

    /// <summary>Takes the level and the peak of now.</summary>
    public void Move(double levelDb, double peakDb, long milliseconds)
    {
        var seconds = last == 0 ? 0 : Math.Clamp((milliseconds - last) / 1000.0, 0, 1);
        last = milliseconds;
        LevelDb = Math.Max(Math.Max(levelDb, SilenceDb), LevelDb - FallDbPerSecond * seconds);
        if (peakDb >= PeakDb)
            (PeakDb, peakAt) = (peakDb, milliseconds);
        else if (milliseconds - peakAt > HoldMilliseconds)
            PeakDb = Math.Max(Math.Max(peakDb, SilenceDb), PeakDb - FallDbPerSecond * seconds);
    }
}
