using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>One first-order microphone in the room: pressure α plus pressure gradient (1−α), at its true place.</summary>
/// <remarks>
/// Thread: [any]. Shape: a response is one flat run of samples; element 0 lies <see cref="BandLimitedImpulse.ReachFrames"/>
/// before the moment of emission. Unit: pressure of a unit source at 1 m reads 1 in an omni capsule at 1 m.
/// To a spherical wave from distance r at an angle γ the capsule answers (1/r)·(α + (1−α)·cos γ·(1 + c/(jωr))), the last term
/// being the proximity rise, all of it behind the capsule's own high-pass at <see cref="LowCutHz"/>, without which a still
/// closer source would have no bound at low frequencies. The high-pass is the same in every capsule and moves no delay.
/// Arrivals are summed as band-limited impulses in tracks, and each track is filtered once: what is shared by all arrivals
/// need not be done for each. The two first-order filters are bilinear: (ωT)²/12 in the size of the proximity term, 0.01 % at 500 Hz.
/// </remarks>
/// <param name="PositionM">Place in the room.</param>
/// <param name="Look">Unit vector of the main axis.</param>
/// <param name="Pattern">α: 0 figure-eight, 0.5 cardioid, 1 omni.</param>
public sealed record Capsule(Vector3D PositionM, Vector3D Look, double Pattern)
{
    /// <summary>Beyond this distance the proximity term is below the high-pass and is left out.</summary>
    private const double FarM = 12;

    /// <summary>First-order high-pass of every capsule.</summary>
    public const double LowCutHz = 10;

    /// <summary>Fills the impulse response to a set of arrivals.</summary>
    public void Respond(ReadOnlySpan<ImageSource> images, Room room, double sampleRateHz, Span<double> response)
    {
        response.Clear();
        var damped = new double[response.Length];
        var near = new double[response.Length];
        var c = room.SpeedOfSoundMps;
        var high = response;
        foreach (var image in images)
        {
            var path = image.PositionM - PositionM;
            var r = path.Length;
            var cosine = Vector3D.Dot(path, Look) / r;
            var sensitivity = (Pattern + (1 - Pattern) * cosine) / r;
            var timeFrames = r / c * sampleRateHz + BandLimitedImpulse.ReachFrames;
            BandLimitedImpulse.Add(high, timeFrames, image.HighGain * sensitivity);
            if (image.Gain != image.HighGain)
                BandLimitedImpulse.Add(damped, timeFrames, (image.Gain - image.HighGain) * sensitivity);
            if (r < FarM && Pattern < 1)
                BandLimitedImpulse.Add(near, timeFrames, image.Gain * (1 - Pattern) * cosine * c / (r * r));
        }

        // Low-pass the part that the walls keep at low frequencies only, integrate the proximity part, and high-pass the sum.
        // With the high-pass s/(s+a), an integrator before it is 1/(s+a).
        var lowPass = new FirstOrder(Room.CrossoverHz, sampleRateHz);
        var lowCut = new FirstOrder(LowCutHz, sampleRateHz);
        var leak = new FirstOrder(LowCutHz, sampleRateHz);
        var leakGain = 1 / (2 * Math.PI * LowCutHz);
        for (var i = 0; i < response.Length; i++)
        {
            var pressure = high[i] + lowPass.Low(damped[i]);
            response[i] = pressure - lowCut.Low(pressure) + leakGain * leak.Low(near[i]);
        }
    }
}
