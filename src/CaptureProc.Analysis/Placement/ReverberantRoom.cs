namespace CaptureProc.Analysis.Placement;

/// <summary>A room as volume and reverberation time: how loud its reverberation is beside the direct sound.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. The source sends evenly; the field is diffuse, as it is above the Schroeder frequency.
/// Source: Sabine, A = 24 ln10·V/(c·T); critical distance r = √(Q·A/16π) ≈ 0.057·√(Q·V/T) (Kuttruff, Room Acoustics; Bies, read
/// via phonometry); Schroeder frequency 2000·√(T/V).
/// </remarks>
public sealed record ReverberantRoom
{
    public ReverberantRoom(double volumeM3, double reverberationSeconds, double speedOfSoundMps)
    {
        Positive(volumeM3, nameof(volumeM3));
        Positive(reverberationSeconds, nameof(reverberationSeconds));
        Positive(speedOfSoundMps, nameof(speedOfSoundMps));
        (VolumeM3, ReverberationSeconds, SpeedOfSoundMps) = (volumeM3, reverberationSeconds, speedOfSoundMps);
    }

    public double VolumeM3 { get; }

    public double ReverberationSeconds { get; }

    public double SpeedOfSoundMps { get; }

    /// <summary>The open window that would swallow as much as the whole room does.</summary>
    public double AbsorptionAreaM2 => 24 * Math.Log(10) * VolumeM3 / (SpeedOfSoundMps * ReverberationSeconds);

    /// <summary>Below it single resonances rule and these figures mean little.</summary>
    public double SchroederFrequencyHz => 2000 * Math.Sqrt(ReverberationSeconds / VolumeM3);

    /// <summary>Where direct sound and reverberation are equally loud in a microphone aimed at the source.</summary>
    public double CriticalDistanceM(FirstOrderPattern pattern) => Math.Sqrt(pattern.Directivity * AbsorptionAreaM2 / (16 * Math.PI));

    /// <summary>Level of the direct sound over that of the reverberation in a microphone aimed at the source.</summary>
    public double DirectToReverberantDb(FirstOrderPattern pattern, double distanceM)
    {
        Positive(distanceM, nameof(distanceM));
        return 20 * Math.Log10(CriticalDistanceM(pattern) / distanceM);
    }

    private static void Positive(double value, string name)
    {
        if (!(value > 0 && double.IsFinite(value)))
            throw new ArgumentOutOfRangeException(name, value, "The value has to be above 0.");
    }
}
