using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Microphones;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Rendering;

/// <summary>A microphone as the renderer sees it: capsules about a centre, with a gain each; an array or a spot.</summary>
/// <param name="SourceId">The source a spot belongs to; null for an array.</param>
/// <param name="NoisePerWNoise">Noise RMS of one capsule for unit noise RMS in the receiver's W (plain matrix) or mono channel.</param>
/// <param name="Nominal">What the maker promises of a microphone of several capsules; null for a mono spot.</param>
/// <param name="Build">How the microphone really is; null where it is as promised.</param>
internal sealed record Receiver(
    string Id, string? SourceId, Vector3D CentreM, Capsule[] Capsules, double[] Gains, double NoisePerWNoise, CapsuleArray? Nominal, MicrophoneBuild? Build)
{
    private BuiltCapsule[] built = [];

    /// <summary>What reaches one capsule; see <see cref="Capsule.Respond"/>.</summary>
    public void Respond(int capsule, Arrivals arrivals, Room room, double sampleRateHz, Span<double> response)
    {
        if (built.Length == 0)
            Capsules[capsule].Respond(arrivals.Images, room, sampleRateHz, response);
        else
            built[capsule].Respond(arrivals.Images, arrivals.DistinctCount, room, sampleRateHz, response);
    }

    /// <summary>From here on the capsules are as they were built, and even where nothing is said of them they hear the bass of the room for itself.</summary>
    public void Assemble(Room room, double sampleRateHz)
    {
        var build = Build ?? new MicrophoneBuild();
        if (build.Capsules.Count != 0 && build.Capsules.Count != Capsules.Length)
            throw new ArgumentException($"'{Id}' has {Capsules.Length} capsules and {build.Capsules.Count} of them are described.");
        var body = build.BodyRadiusM is { } radiusM && Nominal is { } array
            ? new ScatteredSound(radiusM, array.RadiusM, array.Pattern, room.SpeedOfSoundMps, sampleRateHz)
            : null;
        var assembled = new BuiltCapsule[Capsules.Length];
        for (var i = 0; i < assembled.Length; i++)
        {
            var own = build.Capsules.Count == 0 ? new CapsuleBuild() : build.Capsules[i];
            var promised = Capsules[i];
            var real = promised with
            {
                PositionM = promised.PositionM + own.PlaceErrorM,
                Look = own.AxisTurn is { } turn ? turn.Apply(promised.Look) : promised.Look,
            };
            assembled[i] = new BuiltCapsule(real, CentreM, promised.Look, own, body);
        }
        built = assembled;
    }

    public static Receiver Of(SceneArray array)
    {
        var errors = array.GainErrorsDb;
        var gains = new double[array.Capsules.Capsules.Count];
        if (errors.Count != 0 && errors.Count != gains.Length)
            throw new ArgumentException($"Array '{array.Id}' has {gains.Length} capsules and {errors.Count} gain errors.", nameof(array));
        for (var i = 0; i < gains.Length; i++)
            gains[i] = errors.Count == 0 ? 1 : Gain.FromDb(errors[i]);
        return new Receiver(array.Id, null, array.CentreM, Place(array.Capsules, array.CentreM), gains, WNoise(array.Capsules), array.Capsules, array.Build);
    }

    public static Receiver Of(SceneSpot spot, Scene scene)
    {
        var gain = Gain.FromDb(spot.LevelOffsetDb) * (spot.Inverted ? -1 : 1);
        if (spot.Capsules is { } array)
        {
            var gains = new double[array.Capsules.Count];
            Array.Fill(gains, gain);
            return new Receiver(spot.Id, spot.SourceId, spot.PositionM, Place(array, spot.PositionM), gains, WNoise(array), array, spot.Build);
        }
        var aim = spot.Aim ?? scene.Source(spot.SourceId).PositionM - spot.PositionM;
        return new Receiver(spot.Id, spot.SourceId, spot.PositionM,
            [new Capsule(spot.PositionM, aim.Normalised(), spot.Pattern)], [gain], 1, null, spot.Build);
    }

    /// <summary>Pressure in W, or in a mono spot, for a unit source at the spot's own player; proximity left out.</summary>
    public double PressureFromOwnSource(Scene scene)
    {
        var source = scene.Source(SourceId ?? throw new InvalidOperationException($"'{Id}' is no spot and has no source of its own."));
        var path = source.PositionM - CentreM;
        var sensitivity = Capsules.Length > 1 ? 1
            : Math.Abs(Capsules[0].Pattern + (1 - Capsules[0].Pattern) * Vector3D.Dot(Capsules[0].Look, path.Normalised()));
        return sensitivity * source.Radiation.Towards(-path) / path.Length;
    }

    private static Capsule[] Place(CapsuleArray array, Vector3D centre)
    {
        var looks = array.LookDirections();
        var capsules = new Capsule[looks.Length];
        for (var i = 0; i < capsules.Length; i++)
            capsules[i] = new Capsule(centre + array.RadiusM * looks[i], looks[i], array.Pattern);
        return capsules;
    }

    /// <summary>W is the sum of n capsules over n·α, so its noise is that of one capsule over α·√n.</summary>
    private static double WNoise(CapsuleArray array) => array.Pattern * Math.Sqrt(array.Capsules.Count);
}
