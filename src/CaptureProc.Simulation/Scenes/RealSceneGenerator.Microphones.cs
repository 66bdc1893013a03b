using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Microphones;

namespace CaptureProc.Simulation.Scenes;

// The microphones: one array whose four capsules are alike but not equal, and spots of every make.
public static partial class RealSceneGenerator
{
    private static Scene WithArray(Scene scene, Drawing drawing)
    {
        if ((drawing.Ranges.Parts & (SceneParts.Array | SceneParts.StageFloor)) == 0)
            return scene;
        var array = scene.Arrays[0];
        // Half of the arrays hang, the others stand.
        double? standDb = drawing.Has(SceneParts.StageFloor, out var stand) && stand.Chance(0.5) ? stand.Uniform(-20, -5) : null;
        return scene with { Arrays = [array with { Build = ArrayBuild(array.Capsules.Capsules.Count, array.Capsules.RadiusM, drawing, standDb) }] };
    }

    private static MicrophoneBuild ArrayBuild(int count, double radiusM, Drawing drawing, double? standDb)
    {
        var (hasGains, hasResponses) = (drawing.Has(SceneParts.CapsuleGains, out var gains), drawing.Has(SceneParts.CapsuleResponses, out var responses));
        var hasPatterns = drawing.Has(SceneParts.CapsulePatterns, out var patterns);
        var (hasPlaces, hasAxes) = (drawing.Has(SceneParts.CapsulePlaces, out var places), drawing.Has(SceneParts.CapsuleAxes, out var axes));
        var common = CommonCurve(responses);
        var (omniBelowHz, trebleAboveHz, secondOrder) = (patterns.Uniform(50, 100), patterns.Uniform(4000, 7000), patterns.Uniform(0.05, 0.25));
        var capsules = new CapsuleBuild[count];
        for (var i = 0; i < count; i++)
            capsules[i] = new CapsuleBuild
            {
                GainDb = hasGains ? gains.Uniform(-0.3, 0.3) : 0,
                Response = hasResponses ? Unlike(common, responses) : null,
                OmniBelowHz = hasPatterns ? omniBelowHz * patterns.Uniform(0.8, 1.25) : null,
                Treble = hasPatterns ? new TreblePattern(trebleAboveHz, secondOrder * patterns.Uniform(0.7, 1.3), OffAxisLoss: 0) : null,
                PlaceErrorM = hasPlaces ? 0.0003 * AnyDirection(places) : default,
                AxisTurn = hasAxes ? Rotation3D.About(AnyDirection(axes), axes.Uniform(1, 2)) : null,
            };
        return new MicrophoneBuild
        {
            Capsules = capsules,
            BodyRadiusM = drawing.Has(SceneParts.ArrayBody, out var body) ? body.Uniform(0.4, 0.7) * radiusM : null,
            StandDb = standDb,
        };
    }

    /// <summary>What capsules of one make share: a low cut, some presence, an upper end.</summary>
    private static ResponseCurve CommonCurve(SeededRandom chance) => new()
    {
        LowCut = new LowCut(SpreadLog(chance, 20, 40), chance.Chance(0.5) ? 1 : 2),
        Bells = [new Bell(SpreadLog(chance, 5000, 12000), chance.Uniform(0, 4), chance.Uniform(0.6, 1.2))],
        RollOff = new RollOff(chance.Uniform(15000, 20000)),
    };

    /// <summary>One specimen: smooth waves of up to 1 dB on top, and a low cut within a tenth.</summary>
    private static ResponseCurve Unlike(ResponseCurve common, SeededRandom chance) => common with
    {
        LowCut = common.LowCut! with { CornerHz = common.LowCut.CornerHz * chance.Uniform(0.9, 1.1) },
        Bells =
        [
            .. common.Bells,
            new Bell(SpreadLog(chance, 80, 300), chance.Uniform(-0.6, 0.6), chance.Uniform(0.4, 0.8)),
            new Bell(SpreadLog(chance, 500, 2000), chance.Uniform(-0.6, 0.6), chance.Uniform(0.4, 0.8)),
            new Bell(SpreadLog(chance, 3000, 8000), chance.Uniform(-1, 1), chance.Uniform(0.5, 1)),
            new Bell(SpreadLog(chance, 9000, 16000), chance.Uniform(-1, 1), chance.Uniform(0.5, 1)),
        ],
    };

    private static Scene WithSpots(Scene scene, Drawing drawing)
    {
        if ((drawing.Ranges.Parts & (SceneParts.Spots | SceneParts.StageFloor)) == 0)
            return scene;
        return scene with { Spots = [.. scene.Spots.Select((spot, i) => WithBuild(scene, spot, drawing with { Chance = drawing.Chance.Fork($"spot {i}") }))] };
    }

    private static SceneSpot WithBuild(Scene scene, SceneSpot spot, Drawing drawing)
    {
        var source = scene.Source(spot.SourceId).PositionM;
        double? standDb = drawing.Has(SceneParts.StageFloor, out var stand) && stand.Chance(0.6) ? stand.Uniform(-10, 0) : null;
        if (spot.Capsules is { } small)
            return spot with { Build = ArrayBuild(small.Capsules.Count, small.RadiusM, drawing, standDb) };

        var (cut, presence, end, offAxis) = (default(LowCut), Array.Empty<Bell>(), default(RollOff), 0.0);
        if (drawing.Has(SceneParts.SpotPatterns, out var patterns))
            // Omni, then from subcardioid to hypercardioid; aimed by hand, up to 45° off the hands.
            spot = spot with
            {
                Pattern = patterns.Chance(0.2) ? 1 : patterns.Uniform(0.25, 0.75),
                Aim = AimedOff(source - spot.PositionM, patterns.Uniform(0, 45), patterns),
            };
        if (drawing.Has(SceneParts.SpotLowCuts, out var cuts))
            cut = new LowCut(SpreadLog(cuts, 20, 150), 1 + cuts.Index(4));
        if (drawing.Has(SceneParts.SpotPresence, out var rise))
            presence = [new Bell(SpreadLog(rise, 3000, 12000), rise.Uniform(0, 8), rise.Uniform(0.7, 1.6)), new Bell(SpreadLog(rise, 200, 1500), rise.Uniform(-2, 2), 0.6)];
        if (drawing.Has(SceneParts.SpotRollOffs, out var ends))
            end = new RollOff(SpreadLog(ends, 10000, 20000));
        if (drawing.Has(SceneParts.SpotOffAxis, out var sides))
            offAxis = sides.Uniform(0.1, 0.5) * (spot.Pattern < 1 ? spot.Pattern : 0.5);
        var place = new SpotPlace(null, null, null);
        if (drawing.Has(SceneParts.ClipOns, out var clips) && clips.Chance(0.15))
            place = ClippedOn(source, spot, clips);
        else if (drawing.Has(SceneParts.BoundaryPlaces, out var plates) && plates.Chance(0.12))
            // A plate on the floor or a table: an omni in its surface.
            place = place with { Plate = new Plate(plates.Uniform(0.1, 0.35)) };
        else if (drawing.Has(SceneParts.Boards, out var boards) && boards.Chance(0.5))
            place = place with { Board = BoardBeside(spot.PositionM, source, boards) };

        if (place.PositionM is { } moved)
            spot = spot with { PositionM = moved, Aim = spot.Aim is null ? null : AimedOff(source - moved, 45, clips) };
        if (place.Plate is not null)
            spot = spot with { Pattern = 1 };
        return spot with
        {
            Build = new MicrophoneBuild
            {
                Capsules = [new CapsuleBuild
                {
                    Response = new ResponseCurve { LowCut = cut, Bells = presence, RollOff = end, Plate = place.Plate },
                    Treble = offAxis > 0 ? new TreblePattern(sides.Uniform(3000, 7000), 0, offAxis) : null,
                }],
                Board = place.Board,
                StandDb = place.PositionM is null ? standDb : null,
            },
        };
    }

    private sealed record SpotPlace(Vector3D? PositionM, ReflectingBoard? Board, Plate? Plate);

    /// <summary>On the instrument: 10 to 30 cm from the hands, the instrument's body some centimetres behind.</summary>
    private static SpotPlace ClippedOn(Vector3D source, SceneSpot spot, SeededRandom chance)
    {
        var away = (spot.PositionM - source).Normalised();
        var place = source + chance.Uniform(0.10, 0.30) * away;
        var normal = (-away + 0.7 * AnyDirection(chance)).Normalised();
        return new SpotPlace(place, new ReflectingBoard(place - chance.Uniform(0.01, 0.04) * normal, normal, chance.Uniform(0.2, 0.5)), null);
    }

    /// <summary>A music stand or desk whose reflection comes 0.3 to 2 ms after the clap.</summary>
    private static ReflectingBoard? BoardBeside(Vector3D place, Vector3D source, SeededRandom chance)
    {
        var toSource = source - place;
        var (lagM, strength) = (343 * chance.Uniform(0.0003, 0.002), chance.Uniform(0.15, 0.6));
        for (var attempt = 0; attempt < 50; attempt++)
        {
            var normal = AnyDirection(chance);
            // A plane at height h lengthens the way from d to √(d² + 4h(h + d·n)); h for the wanted way, the source on the same side.
            var (d, along) = (toSource.Length, Vector3D.Dot(toSource, normal));
            var height = 0.5 * (-along + Math.Sqrt(along * along + (d + lagM) * (d + lagM) - d * d));
            if (height > 0.03 && height + along > 0.03)
                return new ReflectingBoard(place - height * normal, normal, strength);
        }
        return null;
    }

    private static Vector3D AimedOff(Vector3D towards, double angleDeg, SeededRandom chance)
    {
        var across = Vector3D.Cross(towards, AnyDirection(chance));
        return Rotation3D.About(across, angleDeg).Apply(towards.Normalised());
    }
}
