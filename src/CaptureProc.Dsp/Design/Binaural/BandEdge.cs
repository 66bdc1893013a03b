namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>Where decoders end in frequency: 1 up to 20 kHz, 0 from 21.5 kHz on, lower where the rate allows less.</summary>
/// <remarks>A soft edge below half of every usual rate lets the filters be resampled to any of them with short responses.</remarks>
internal static class BandEdge
{
    private const double FullHz = 20000;
    private const double SilentHz = 21500;

    // Of half the rate, where that is less: the edge of 44.1 kHz material is 20 to 21.5 kHz, and others are scaled alike.
    private const double FullOfHalfRate = FullHz / 22050;
    private const double SilentOfHalfRate = SilentHz / 22050;

    public static double Gain(double frequencyHz, double sampleRateHz)
    {
        var full = Math.Min(FullHz, FullOfHalfRate * sampleRateHz / 2);
        var silent = Math.Min(SilentHz, SilentOfHalfRate * sampleRateHz / 2);
        var x = Math.Clamp((silent - frequencyHz) / (silent - full), 0, 1);
        return 0.5 - 0.5 * Math.Cos(Math.PI * x);
    }
}
