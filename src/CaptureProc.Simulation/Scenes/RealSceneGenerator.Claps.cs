using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Signals;
using CaptureProc.Simulation.Sources;

namespace CaptureProc.Simulation.Scenes;

// Who claps with what, and where: levels here are relative to a clap that reaches the array as all others do.
public static partial class RealSceneGenerator
{
    private static Scene WithClaps(Scene scene, Drawing drawing)
    {
        if (drawing.Has(SceneParts.DirectionalTreble, out var treble))
            // A hand or board faces somewhere; what goes to the other side has up to 10 dB less treble.
            scene = scene with { Sources = [.. scene.Sources.Select(s => s with { Radiation = TowardsItsSpot(scene, s, treble) })] };
        if (drawing.Has(SceneParts.WideSources, out var wide))
            scene = scene with { Sources = [.. scene.Sources.Select(s => s with { WidthM = wide.Uniform(0.05, 0.20) })] };

        var hasRecorded = drawing.Has(SceneParts.RecordedClaps, out var recorded) && drawing.Ranges.RecordedClaps.Count > 0;
        var sounds = hasRecorded ? drawing.Ranges.RecordedClaps : [];
        var hasSlates = drawing.Has(SceneParts.RingingSlates, out var ringing);
        var clicks = new List<ClickEvent>();
        foreach (var click in scene.Clicks)
        {
            // Ideal levels are set anew at the end; nobody claps equally loud.
            var own = click with { LevelDb = drawing.Ranges.Parts == SceneParts.None ? 0 : recorded.Uniform(-3, 3) };
            var (takesSlate, takesRecorded, which) = (ringing.Chance(0.3), recorded.Chance(drawing.Ranges.RecordedShare), recorded.NextUInt64());
            if (hasSlates && takesSlate)
                own = own with { Kind = ClickKind.RingingSlate };
            if (hasRecorded && takesRecorded)
                own = own with { Recorded = Prepared(sounds[(int)(which % (ulong)sounds.Count)], scene.SampleRateHz) };
            clicks.Add(own);
        }
        scene = scene with { Clicks = clicks };
        if (drawing.Has(SceneParts.Moves, out var moves))
            scene = WithSecondClaps(scene, moves);
        if (drawing.Has(SceneParts.TwoPeople, out var two))
            scene = WithNeighbours(scene, two);
        return drawing.Has(SceneParts.Bodies, out var bodies) ? WithBodies(scene, bodies) : scene;
    }

    private static Radiation TowardsItsSpot(Scene scene, SceneSource source, SeededRandom chance)
    {
        var spot = scene.Spots.First(s => s.SourceId == source.Id);
        var axis = ((spot.PositionM - source.PositionM).Normalised() + 0.5 * AnyDirection(chance)).Normalised();
        return new Radiation(axis, chance.Uniform(0.65, 1)) { TrebleLossDb = chance.Uniform(0, 12) };
    }

    /// <summary>A third of the players clap a second time, somewhere within 10 cm of the first.</summary>
    private static Scene WithSecondClaps(Scene scene, SeededRandom chance)
    {
        var clicks = new List<ClickEvent>();
        var later = 0.0;
        var gap = scene.Clicks.Count > 1 ? scene.Clicks[1].TimeSeconds - scene.Clicks[0].TimeSeconds : 1.5;
        foreach (var click in scene.Clicks)
        {
            clicks.Add(click with { TimeSeconds = click.TimeSeconds + later });
            if (!chance.Chance(0.33))
                continue;
            later += gap;
            clicks.Add(click with { TimeSeconds = click.TimeSeconds + later, OffsetM = chance.Uniform(0.02, 0.10) * AnyDirection(chance), LevelDb = click.LevelDb + chance.Uniform(-3, 3) });
        }
        return scene with { Clicks = clicks, DurationSeconds = scene.DurationSeconds + later };
    }

    /// <summary>Every sixth clap is answered by somebody else, 60 to 400 ms later, as a joke or because two were meant.</summary>
    private static Scene WithNeighbours(Scene scene, SeededRandom chance)
    {
        if (scene.Sources.Count < 2)
            return scene;
        var clicks = new List<ClickEvent>();
        foreach (var click in scene.Clicks)
        {
            clicks.Add(click);
            if (!chance.Chance(1.0 / 6))
                continue;
            var other = scene.Sources[chance.Index(scene.Sources.Count)];
            if (other.Id != click.SourceId)
                clicks.Add(new ClickEvent(click.TimeSeconds + chance.Uniform(0.06, 0.4), other.Id) { LevelDb = click.LevelDb - chance.Uniform(0, 10) });
        }
        return scene with { Clicks = clicks };
    }

    /// <summary>Before every eighth player somebody stands in the way to the array.</summary>
    private static Scene WithBodies(Scene scene, SeededRandom chance)
    {
        var bodies = new List<SourceBody>();
        foreach (var source in scene.Sources)
        {
            var (hit, radiusM, aside, beyondM) = (chance.Chance(0.125), chance.Uniform(0.10, 0.20), AnyDirection(chance), chance.Uniform(0.1, 0.4));
            var way = scene.Arrays[0].CentreM - source.PositionM;
            var centre = source.PositionM + (radiusM + beyondM) * way.Normalised() + 0.5 * radiusM * aside;
            // The body stands beside the spot, not in it, and not in the clap.
            if (hit && !scene.Spots.Any(s => (s.PositionM - centre).Length < radiusM + 0.05) && (source.PositionM - centre).Length > radiusM + 0.02)
                bodies.Add(new SourceBody(centre, radiusM));
        }
        return scene with { Bodies = bodies };
    }

    /// <summary>From what the caller recorded to what a source sends out: cut to the sound, at the scene's rate, band-limited, peak 1.</summary>
    internal static double[] Prepared(RecordedSound sound, double sampleRateHz)
    {
        var samples = sound.SampleRateHz == sampleRateHz ? sound.Samples : WholeSignalResampling.Resample(sound.Samples, sound.SampleRateHz, sampleRateHz);
        var peak = 0f;
        foreach (var sample in samples)
            peak = Math.Max(peak, Math.Abs(sample));
        if (!(peak > 0))
            throw new ArgumentException($"The recorded sound '{sound.Name}' is silent.", nameof(sound));
        // From 2 ms before it first reaches −30 dB to where it last falls below −50 dB.
        var first = Math.Max(0, Array.FindIndex(samples, x => Math.Abs(x) > 0.03f * peak) - (int)(0.002 * sampleRateHz));
        var end = Array.FindLastIndex(samples, x => Math.Abs(x) > 0.003f * peak) + 1;
        var cut = Array.ConvertAll(samples[first..end], x => (double)x);
        var fade = Math.Min(cut.Length / 4, (int)(0.001 * sampleRateHz));
        for (var i = 0; i < fade; i++)
        {
            cut[i] *= (double)i / fade;
            cut[^(i + 1)] *= (double)i / fade;
        }
        return Peak.ToOne(BandLimit.Apply(cut));
    }
}
