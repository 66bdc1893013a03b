namespace CaptureProc.Analysis.Stage;

/// <summary>What everybody knows of stages before the first clap.</summary>
/// <remarks>Metres, mean and standard deviation. Common practice, no source: wide enough that a stage which differs is not bent by it.</remarks>
internal static class StagePriors
{
    /// <summary>Hands clap 0.2 to 1 m from the microphone that they clap for.</summary>
    public const double OwnDistanceM = 0.55, OwnDistanceSigmaM = 0.22;

    /// <summary>The floor below the array's centre: it stands or hangs 1 to 4 m up.</summary>
    public const double FloorM = -2.2, FloorSigmaM = 0.9;

    /// <summary>Hands above the floor: people sit, stand, or stand on a riser.</summary>
    public const double HandsM = 1.25, HandsSigmaM = 0.45;

    /// <summary>Spots above the floor, up to 3 m.</summary>
    public const double SpotM = 1.3, SpotSigmaM = 0.65;

    /// <summary>Other arrays above the floor.</summary>
    public const double ArrayM = 2.2, ArraySigmaM = 1;

    /// <summary>A stage reaches no farther; this only keeps what nobody heard from being nowhere.</summary>
    public const double ReachM = 15;

    /// <summary>Every microphone hears a clap this much earlier or later than geometry says, always alike: its own delay, its response.</summary>
    public const double OwnDelayM = 0.012;

    /// <summary>The speed of sound without a thermometer: −20 to 45 °C.</summary>
    public const double SpeedShare = 0.03;
}
