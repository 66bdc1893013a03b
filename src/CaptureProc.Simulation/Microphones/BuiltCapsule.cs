using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Microphones;

/// <summary>A capsule as it was built: response, pattern over frequency, place, axis, the body beside it.</summary>
/// <remarks>
/// Thread: one at a time. Shape and unit as of <see cref="Capsule"/>, whose sum of band-limited impulses it refines by tracks that
/// are filtered once each: what the walls keep in the bass and below the treble, what turns omni, what changes in the treble, the
/// proximity rise. The rise ends where the pattern is omni, so both hang on one corner.
/// </remarks>
/// <param name="CentreM">Centre of the microphone, about which its body lies.</param>
/// <param name="Heading">From the centre to the capsule, the body's angle of incidence counts from here.</param>
internal sealed class BuiltCapsule(Capsule capsule, Vector3D centreM, Vector3D heading, CapsuleBuild build, ScatteredSound? body)
{
    private const double FarM = 12;

    private double[] high = [], damped = [], bass = [], near = [], omni = [], treble = [], echo = [];

    public double Pattern => capsule.Pattern;

    /// <summary>Fills the impulse response; the first <paramref name="bodyCount"/> images also reach the capsule by way of the body.</summary>
    public void Respond(ReadOnlySpan<ImageSource> images, int bodyCount, Room room, double sampleRateHz, Span<double> response)
    {
        var length = response.Length;
        Clear(length);
        var c = room.SpeedOfSoundMps;
        var (pattern, gradient) = (capsule.Pattern, 1 - capsule.Pattern);
        var anyNear = false;
        for (var i = 0; i < images.Length; i++)
        {
            ref readonly var image = ref images[i];
            var path = image.PositionM - capsule.PositionM;
            var r = path.Length;
            var cosine = Vector3D.Dot(path, capsule.Look) / r;
            var sensitivity = (pattern + gradient * cosine) / r;
            var timeFrames = r / c * sampleRateHz + BandLimitedImpulse.ReachFrames;
            BandLimitedImpulse.Add(high.AsSpan(0, length), timeFrames, image.HighGain * sensitivity);
            if (image.Gain != image.HighGain)
                BandLimitedImpulse.Add(damped.AsSpan(0, length), timeFrames, (image.Gain - image.HighGain) * sensitivity);
            if (image.BassGain != image.Gain)
                BandLimitedImpulse.Add(bass.AsSpan(0, length), timeFrames, (image.BassGain - image.Gain) * sensitivity);
            if (build.OmniBelowHz is not null && gradient > 0)
                BandLimitedImpulse.Add(omni.AsSpan(0, length), timeFrames, image.BassGain * gradient * (1 - cosine) / r);
            if (build.Treble is { } change)
                BandLimitedImpulse.Add(treble.AsSpan(0, length), timeFrames, image.HighGain * change.Change(cosine) / r);
            if (r < FarM && gradient > 0)
            {
                anyNear = true;
                BandLimitedImpulse.Add(near.AsSpan(0, length), timeFrames, image.BassGain * gradient * cosine * c / (r * r));
            }
            if (body is not null && i < bodyCount)
            {
                var fromCentre = image.PositionM - centreM;
                var distance = fromCentre.Length;
                body.Add(echo.AsSpan(0, length), distance / c * sampleRateHz + BandLimitedImpulse.ReachFrames, image.HighGain / distance,
                    Vector3D.Dot(fromCentre, heading) / distance);
            }
        }
        Sum(room, sampleRateHz, anyNear, response);
    }

    private void Sum(Room room, double sampleRateHz, bool anyNear, Span<double> response)
    {
        var treblePart = Biquad.LowCut(Math.Min(build.Treble?.AboveHz ?? 4000, 0.4 * sampleRateHz), Math.Sqrt(0.5), sampleRateHz);
        if (build.Treble is not null)
            treblePart.Process(treble.AsSpan(0, response.Length));
        var damping = new FirstOrder(Room.CrossoverHz, sampleRateHz);
        var bassEnd = new FirstOrder(Room.BassCrossoverHz, sampleRateHz);
        var lowCut = new FirstOrder(Capsule.LowCutHz, sampleRateHz);
        var omniHz = build.OmniBelowHz ?? Capsule.LowCutHz;
        var (turn, leak) = (new FirstOrder(omniHz, sampleRateHz), new FirstOrder(omniHz, sampleRateHz));
        var leakGain = anyNear ? 1 / (2 * Math.PI * omniHz) : 0;
        for (var i = 0; i < response.Length; i++)
        {
            var pressure = high[i] + treble[i] + echo[i] + damping.Low(damped[i]) + bassEnd.Low(bass[i]) + turn.Low(omni[i]);
            if (build.OmniBelowHz is null)
                response[i] = pressure - lowCut.Low(pressure) + leakGain * leak.Low(near[i]);
            else
            {
                pressure += leakGain * leak.Low(near[i]);
                response[i] = pressure - lowCut.Low(pressure);
            }
        }
        if (build.Response is { } curve)
            foreach (var stage in curve.Filters(sampleRateHz, room.SpeedOfSoundMps))
            {
                var filter = stage;
                filter.Process(response);
            }
        var gain = Math.Pow(10, build.GainDb / 20);
        for (var i = 0; i < response.Length; i++)
            response[i] *= gain;
    }

    /// <summary>Makes all tracks silent and at least so long.</summary>
    private void Clear(int length)
    {
        if (high.Length < length)
            (high, damped, bass, near, omni, treble, echo) =
                (new double[length], new double[length], new double[length], new double[length], new double[length], new double[length], new double[length]);
        foreach (var track in (double[][])[high, damped, bass, near, omni, treble, echo])
            track.AsSpan(0, length).Clear();
    }
}
