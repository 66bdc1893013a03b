using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Placement;

/// <summary>What there is to know about a rehearsal recording before it is heard.</summary>
/// <param name="SampleRateHz">Of the recording.</param>
/// <param name="SpeedOfSoundMps">Of the session.</param>
/// <param name="Channels">The array's channels, counted from 0, in the order of the filter's inputs.</param>
/// <param name="Field">What turns them into ACN/SN3D: trims, mount and correction in one.</param>
/// <param name="RadiusM">Of the array.</param>
/// <param name="Players">The players whose spots were measured with the slate and are in the recording; may be empty.</param>
public sealed record PlacementInput(
    double SampleRateHz, double SpeedOfSoundMps, IReadOnlyList<int> Channels, MatrixFilter Field, double RadiusM,
    IReadOnlyList<PlayerInput> Players)
{
    /// <summary>The bands that are looked at.</summary>
    public IReadOnlyList<OctaveBand> Bands { get; } = OctaveBand.Resolved(RadiusM, SpeedOfSoundMps, SampleRateHz);
}

/// <summary>A player whose direct sound is known from a spot.</summary>
/// <param name="Id">The spot.</param>
/// <param name="Channels">Its channels, counted from 0.</param>
/// <param name="Gains">A factor for each; the sum of the channels counts.</param>
/// <param name="DelayFrames">By how much the array hears the player later than the spot.</param>
/// <param name="Gain">The factor, with sign, that makes the spot's direct sound that of the array, as the slate had it.</param>
/// <param name="Direction">Unit vector to the player.</param>
public sealed record PlayerInput(
    string Id, IReadOnlyList<int> Channels, IReadOnlyList<double> Gains, double DelayFrames, double Gain, Vector3D Direction)
{
    /// <summary>Power of the field at large in the aligned spot over that in W; see <see cref="ShareOfField"/>. 0 for a spot that hears nothing else.</summary>
    public double FieldShare { get; init; }

    /// <summary>What a spot takes in of the hall and the other players: (spot distance over array distance)², a third of that for a cardioid.</summary>
    /// <remarks>Spots are taken for cardioids: nobody tells their pattern, and a directivity of 3 is right to within 1.3 dB up to the hypercardioid's 4.</remarks>
    public static double ShareOfField(double spotM, double arrayM) => Math.Pow(spotM / arrayM, 2) / FirstOrderPattern.Cardioid.Directivity;

    /// <summary>For a spot that is a capsule array of its own: the filter whose first output is its W; null for any other.</summary>
    public MatrixFilter? Own { get; init; }
}
