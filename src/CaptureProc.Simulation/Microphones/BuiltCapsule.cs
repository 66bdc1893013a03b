using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Microphones;

/// <summary>A capsule as it was built: response, pattern over frequency, place, axis, the body beside it.</summary>
/// <remarks>
/// Thread: one at a time. Shape and unit as of <see cref="Capsule"/>, whose sum of band-limited impulses it refines by tracks that
/// are filtered once each: what the walls keep in the bass and below the treble, what turns omni, what changes in the treble, the
/// proximity rise. The rise ends where the pattern is omni, so both hang on one corner.
/// </remarks>
/// <param name="capsule">What was promised, at its true place and with its true axis.</param>
/// <param name="centreM">Centre of the microphone, about which its body lies.</param>
/// <param name="heading">From the centre to the capsule; the body's angle of incidence counts from here.</param>
internal sealed class BuiltCapsule(Capsule capsule, Vector3D centreM, Vector3D heading, CapsuleBuild build, ScatteredSound? body)
{
    private const double FarM = 12;

    private readonly double gradient = 1 - capsule.Pattern;
    private double[] high = [], damped = [], bass = [], near = [], omni = [], treble = [], echo = [];

    /// <summary>Fills the impulse response. The first <paramref name="distinctCount"/> images also come by way of the body and are placed exactly, those after them roughly.</summary>
    public void Respond(ReadOnlySpan<ImageSource> images, int distinctCount, Room room, double sampleRateHz, Span<double> response)
    {
        var length = response.Length;
        Clear(length);
        var framesPerM = sampleRateHz / room.SpeedOfSoundMps;
        AddDistinct(images[..distinctCount], room.SpeedOfSoundMps, framesPerM, length);
        AddCrowd(images[distinctCount..], framesPerM, length);
        Sum(room, sampleRateHz, response);
        new FilterRow(build.Response?.Filters(sampleRateHz, room.SpeedOfSoundMps) ?? []).Process(response);
        var gain = Math.Pow(10, build.GainDb / 20);
        for (var i = 0; i < length; i++)
            response[i] *= gain;
    }

    private void AddDistinct(ReadOnlySpan<ImageSource> images, double c, double framesPerM, int length)
    {
        foreach (ref readonly var image in images)
        {
            var path = image.PositionM - capsule.PositionM;
            var r = path.Length;
            var cosine = Vector3D.Dot(path, capsule.Look) / r;
            var sensitivity = (capsule.Pattern + gradient * cosine) / r;
            var timeFrames = r * framesPerM + BandLimitedImpulse.ReachFrames;
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
                BandLimitedImpulse.Add(near.AsSpan(0, length), timeFrames, image.BassGain * gradient * cosine * c / (r * r));
            if (body is null)
                continue;
            var fromCentre = image.PositionM - centreM;
            var distance = fromCentre.Length;
            body.Add(echo.AsSpan(0, length), distance * framesPerM + BandLimitedImpulse.ReachFrames, image.HighGain / distance,
                Vector3D.Dot(fromCentre, heading) / distance);
        }
    }

    private void AddCrowd(ReadOnlySpan<ImageSource> images, double framesPerM, int length)
    {
        Span<double> taps = stackalloc double[ShortImpulse.TapCount];
        var turnsOmni = build.OmniBelowHz is not null && gradient > 0;
        foreach (ref readonly var image in images)
        {
            var path = image.PositionM - capsule.PositionM;
            var r = path.Length;
            var cosine = Vector3D.Dot(path, capsule.Look) / r;
            var sensitivity = (capsule.Pattern + gradient * cosine) / r;
            var at = ShortImpulse.Taps(r * framesPerM + BandLimitedImpulse.ReachFrames, taps);
            ShortImpulse.Add(high.AsSpan(0, length), at, taps, image.HighGain * sensitivity);
            ShortImpulse.Add(damped.AsSpan(0, length), at, taps, (image.Gain - image.HighGain) * sensitivity);
            if (image.BassGain != image.Gain)
                ShortImpulse.Add(bass.AsSpan(0, length), at, taps, (image.BassGain - image.Gain) * sensitivity);
            if (turnsOmni)
                ShortImpulse.Add(omni.AsSpan(0, length), at, taps, image.BassGain * gradient * (1 - cosine) / r);
            if (build.Treble is { } change)
                ShortImpulse.Add(treble.AsSpan(0, length), at, taps, image.HighGain * change.Change(cosine) / r);
        }
    }

    /// <summary>Every track through its filter, added up, behind the capsule's own high-pass.</summary>
    private void Sum(Room room, double sampleRateHz, Span<double> response)
    {
        if (build.Treble is { } change)
            new FilterRow([Biquad.LowCut(Math.Min(change.AboveHz, 0.4 * sampleRateHz), Math.Sqrt(0.5), sampleRateHz)]).Process(treble.AsSpan(0, response.Length));
        var damping = new FirstOrder(Room.CrossoverHz, sampleRateHz);
        var bassEnd = new FirstOrder(Room.BassCrossoverHz, sampleRateHz);
        var lowCut = new FirstOrder(Capsule.LowCutHz, sampleRateHz);
        var omniHz = build.OmniBelowHz ?? Capsule.LowCutHz;
        var (turn, leak) = (new FirstOrder(omniHz, sampleRateHz), new FirstOrder(omniHz, sampleRateHz));
        var leakGain = 1 / (2 * Math.PI * omniHz);
        // Where the pattern stays, the high-pass of the capsule is what ends the rise, once.
        var staysFirstOrder = build.OmniBelowHz is null;
        for (var i = 0; i < response.Length; i++)
        {
            var pressure = high[i] + treble[i] + echo[i] + damping.Low(damped[i]) + bassEnd.Low(bass[i]) + turn.Low(omni[i]);
            var rise = leakGain * leak.Low(near[i]);
            if (!staysFirstOrder)
                pressure += rise;
            response[i] = pressure - lowCut.Low(pressure) + (staysFirstOrder ? rise : 0);
        }
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
