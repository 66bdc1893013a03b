namespace CaptureProc.Analysis.Clicks;

/// <summary>How probable it is that an arrival is the right one and its delay within three times its stated deviation.</summary>
/// <remarks>
/// Thread: [any]. A product of three logistic curves, one for each way to be wrong:
///   the arrival is too weak, and a noise peak was taken for it: on the lesser of detection significance and amplitude over deviation;
///   the sound was no clap but a word, whose onset nobody can place: on compactness;
///   the model does not explain what was recorded (moving source, two sounds at once): on the reduced chi-square.
/// The curves were laid on 925 spots of 350 simulated scenes (8 to 45 dB, talk, flams, clipping, missing claps): every gross error
/// had a strength below 8, and nearly every word a compactness below 0.6. The tests count on other scenes.
/// </remarks>
public static class ArrivalConfidence
{
    /// <summary>Nothing is ever surer than this: there is always what no model knows.</summary>
    private const double Surest = 0.998;

    public static double Of(Arrival arrival, SpotOnset onset)
    {
        var strength = Math.Min(arrival.Significance, Math.Abs(arrival.Fit.Amplitude) / arrival.Fit.AmplitudeSigma);
        return Surest * arrival.Firstness * Logistic(1.2 * (strength - 6.5)) * Logistic(18 * (onset.Compactness - 0.62)) * Logistic(2 * (5 - arrival.Fit.ReducedChiSquare));
    }

    /// <summary>For a spot far from a clap: how probably the first arrival that was heard is the direct sound.</summary>
    /// <remarks>
    /// A directional spot that looks elsewhere may hear the direct sound 10 dB below the first reflections. If those themselves
    /// stand out by 11 deviations only, it is below the threshold of 5; if they stand out by 40, it is not.
    /// </remarks>
    public static double FirstnessOf(double significance) => Logistic(0.2 * (significance - 14));

    private static double Logistic(double x) => 1 / (1 + Math.Exp(-x));
}
