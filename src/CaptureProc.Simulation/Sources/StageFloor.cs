using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Microphones;

namespace CaptureProc.Simulation.Sources;

/// <summary>A stage of boards that carries what shakes it to the stands, ahead of the air.</summary>
/// <param name="SpeedMps">How fast the shaking travels. Bending waves in boards of 20-40 mm reach 500-1500 m/s of group speed above 500 Hz.</param>
/// <param name="LevelDb">Pressure that a capsule on a stiff stand makes of it at 1 m, dB re the source's sound at 1 m.</param>
/// <param name="HighestHz">Elastic feet and the stand's mass end it above.</param>
/// <remarks>
/// Source for the speed: c_B = √(1.8·c_L·h·f), group speed twice that, Cremer and Heckl, Structure-Borne Sound, with c_L = 3400 m/s
/// (from memory); level and band: common practice, no source. Waves in a plate weaken with the root of the distance.
/// </remarks>
public sealed record StageFloor(double SpeedMps, double LevelDb, double HighestHz)
{
    private const double LowestHz = 60;

    /// <summary>Adds what comes through the floor to a response whose element 0 lies the reach before the emission.</summary>
    internal void Add(Span<double> response, double distanceM, double standDb, double sourceGain, double sampleRateHz)
    {
        var shaken = new double[response.Length];
        var gain = sourceGain * Math.Pow(10, (LevelDb + standDb) / 20) / Math.Sqrt(Math.Max(0.2, distanceM));
        BandLimitedImpulse.Add(shaken, distanceM / SpeedMps * sampleRateHz + BandLimitedImpulse.ReachFrames, gain);
        new FilterRow([Biquad.LowCut(LowestHz, Math.Sqrt(0.5), sampleRateHz), Biquad.RollOff(HighestHz, Math.Sqrt(0.5), sampleRateHz)]).Process(shaken);
        for (var i = 0; i < response.Length; i++)
            response[i] += shaken[i];
    }
}
