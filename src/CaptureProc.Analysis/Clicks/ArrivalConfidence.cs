namespace CaptureProc.Analysis.Clicks;

/// <summary>How probable it is that an arrival is the right one and its delay within three times its stated deviation.</summary>
/// <remarks>
/// Thread: [any]. A product of what can be wrong with one clap:
///   the arrival is too weak, and a noise peak was taken for it: a logistic curve on the lesser of detection significance and amplitude over deviation;
///   something weaker may have come first unheard: <see cref="Arrival.Firstness"/>;
///   another lag, or the other polarity, may line up the two direct sounds better: <see cref="ArrivalFit.Rivals"/>;
///   the response between the two microphones is so much more than the model allows for that the delay is not known to a sample
///   or two, and may be a whole period of the sound off: a curve on the stated deviation.
/// How well the model explains the recording is no part of it: where the hall is quiet, every real microphone differs from its model by more
/// than the noise, and that is in the deviation. How long the sound rings is none either: wood does.
/// Laid on drawn scenes with microphones, claps and rooms as they are, and on recorded claps in recorded rooms; the tests count on others.
/// </remarks>
public static class ArrivalConfidence
{
    /// <summary>Nothing is ever surer than this: there is always what no model knows.</summary>
    private const double Surest = 0.998;

    /// <summary>A third of the distance at which it is a toss-up whether the right period was found (seconds).</summary>
    private const double BluntSeconds = 2.5 / 48000;

    public static double Of(Arrival arrival)
    {
        var strength = Math.Min(arrival.Significance, Math.Abs(arrival.Fit.Amplitude) / arrival.Fit.AmplitudeSigma);
        var blunt = arrival.DelaySigma / (BluntSeconds * arrival.WorkingRateHz);
        return Surest * arrival.Firstness * (1 - arrival.Fit.Rivals) * Logistic(1.2 * (strength - 6.5)) / (1 + blunt * blunt * blunt * blunt);
    }

    /// <summary>For a spot far from a clap: how probably the first arrival that was heard is the direct sound.</summary>
    /// <remarks>
    /// A directional spot that looks elsewhere may hear the direct sound 10 dB below the first reflections. If those themselves
    /// stand out by 11 deviations only, it is below the threshold of 5; if they stand out by 40, it is not.
    /// </remarks>
    public static double FirstnessOf(double significance) => Logistic(0.2 * (significance - 14));

    /// <summary>For an arrival ahead of which something loud remains that none was found for.</summary>
    /// <param name="ahead">How loud that is over the least that counts, as a ratio of powers.</param>
    public static double FirstnessAfter(double ahead) => 1 / (1 + ahead * ahead);

    private static double Logistic(double x) => 1 / (1 + Math.Exp(-x));
}
