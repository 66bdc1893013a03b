using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Scenes;

// Scenes without clicks: the same halls and ensembles, everyone playing.
public static partial class SceneGenerator
{
    /// <summary>A random scene in which every source plays music of its own; noise is set against the programme's RMS.</summary>
    public static Scene DrawProgramme(ulong seed, SceneRanges ranges, double seconds)
    {
        var scene = Draw(seed, ranges with { MissingShare = 1, TalkDb = null });
        var chance = new SeededRandom(seed).Fork("programme");
        var programme = new List<ProgrammeEvent>();
        foreach (var source in scene.Sources)
        {
            var kind = (MusicKind)chance.Index(3);
            var music = MusicSounds.Make(kind, seconds - 0.5, chance.Uniform(110, 440), ranges.SampleRateHz, chance.Fork(source.Id));
            Gain.Apply(music, Gain.FromDb(chance.Uniform(-6, 6)));
            programme.Add(new ProgrammeEvent(0.2, source.Id, music));
        }
        return scene with { Programme = programme, DurationSeconds = seconds };
    }
}
