namespace CaptureProc.Analysis.Placement;

/// <summary>An octave of the range in which the music of a rehearsal is looked at.</summary>
/// <remarks>
/// Thread: [any]. Source: IEC 61260-1:2014, centres 1000·G^x, edges half an octave away, G = 10^0.3.
/// The lowest band is 250 Hz: below it a room's resonances stand apart, and the array's velocity signals carry the proximity rise
/// of near players. The highest is the last whose upper edge lies below <see cref="LargestKr"/>, because above it four
/// capsules no longer part pressure and velocity: a plane wave would begin to look diffuse.
/// </remarks>
/// <param name="NominalHz">What the band is called.</param>
/// <param name="CentreHz">Its exact centre.</param>
public readonly record struct OctaveBand(double NominalHz, double CentreHz)
{
    /// <summary>
    /// Size of an array against the wavelength up to which a plane wave from the worst direction reads a diffuseness below 0.06;
    /// at twice that it would read 0.16, and cap the direct share there. Asserted in DiffusenessTests.
    /// </summary>
    public const double LargestKr = 0.8;

    private static readonly double[] Nominals = [250, 500, 1000, 2000, 4000];

    public double LowHz => CentreHz * Math.Pow(10, -0.15);

    public double HighHz => CentreHz * Math.Pow(10, 0.15);

    /// <summary>The bins that lie in the band, the end excluded.</summary>
    public (int First, int End) Bins(double binHz) => ((int)Math.Ceiling(LowHz / binHz), (int)Math.Ceiling(HighHz / binHz));

    /// <summary>The bands in which an array resolves the field at a sample rate; none for an array of more than 0.2 m.</summary>
    public static IReadOnlyList<OctaveBand> Resolved(double radiusM, double speedOfSoundMps, double sampleRateHz)
    {
        var highestHz = Math.Min(LargestKr * speedOfSoundMps / (2 * Math.PI * radiusM), 0.45 * sampleRateHz);
        return [.. Nominals.Select((hz, i) => new OctaveBand(hz, 1000 * Math.Pow(10, 0.3 * (i - 2)))).Where(band => band.HighHz <= highestHz)];
    }
}
