using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Disturbances;
using CaptureProc.Simulation.Faults;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Scenes;

// What else is heard, and what is wrong with the recorder.
public static partial class RealSceneGenerator
{
    private static Scene WithDisturbances(Scene scene, Drawing drawing)
    {
        var background = new List<Background>();
        if (drawing.Has(SceneParts.Hum, out var hum))
            background.Add(DrawHum(hum));
        if (drawing.Has(SceneParts.Ventilation, out var air))
            background.Add(DiffuseNoise.Ventilation(air.Uniform(-6, 10)));
        if (drawing.Has(SceneParts.Wind, out var wind) && wind.Chance(0.3))
            background.Add(new Wind(wind.Uniform(0, 15)));
        if (drawing.Has(SceneParts.Audience, out var audience))
            background.Add(DiffuseNoise.Audience(audience.Uniform(-10, 0)));

        var programme = new List<ProgrammeEvent>(scene.Programme);
        AddSounds(SceneParts.Footsteps, RoomSoundKind.Footsteps, -45, -25);
        AddSounds(SceneParts.Doors, RoomSoundKind.Door, -35, -15);
        AddSounds(SceneParts.Coughs, RoomSoundKind.Cough, -40, -20);
        AddSounds(SceneParts.Chairs, RoomSoundKind.Chair, -40, -20);
        if (drawing.Has(SceneParts.Talk, out var talk))
            AddTalk(talk);
        if (drawing.Has(SceneParts.Music, out var music) && music.Chance(0.25))
            AddMusic(music);
        return scene with { Background = background, Programme = programme };

        // Levels: peak of the sound over the claps' peak, both at 1 m.
        void AddSounds(SceneParts part, RoomSoundKind kind, double lowDb, double highDb)
        {
            if (!drawing.Has(part, out var own) || !own.Chance(0.5))
                return;
            var sound = RoomSounds.Make(kind, scene.SampleRateHz, own);
            Gain.Apply(sound, Gain.FromDb(ClapDb(scene) + own.Uniform(lowDb, highDb)));
            programme.Add(new ProgrammeEvent(own.Uniform(0, scene.DurationSeconds - 0.5), Anybody(scene, own), sound));
        }

        // A voice peaks 25 dB below hands, give or take (85 and 110 dB at a metre).
        void AddTalk(SeededRandom own)
        {
            for (var i = 0; i < scene.Clicks.Count; i++)
            {
                var start = scene.Clicks[i].TimeSeconds + 0.3;
                var end = i + 1 < scene.Clicks.Count ? scene.Clicks[i + 1].TimeSeconds : scene.DurationSeconds;
                if (end - start < 0.25 || !own.Chance(0.5))
                    continue;
                var speech = SpeechSounds.Make(Math.Min(0.8, end - start), scene.SampleRateHz, own);
                Gain.Apply(speech, Gain.FromDb(ClapDb(scene) + own.Uniform(-32, -20)));
                programme.Add(new ProgrammeEvent(start, Anybody(scene, own), speech));
            }
        }

        void AddMusic(SeededRandom own)
        {
            var sound = MusicSounds.Make((MusicKind)own.Index(3), scene.DurationSeconds, own.Uniform(110, 440), scene.SampleRateHz, own);
            Gain.Apply(sound, Gain.FromDb(ClapDb(scene) + own.Uniform(-40, -26)));
            programme.Add(new ProgrammeEvent(0, Anybody(scene, own), sound));
        }
    }

    private static Hum DrawHum(SeededRandom chance)
    {
        var harmonics = new double[10];
        for (var h = 0; h < harmonics.Length; h++)
            harmonics[h] = -3.0 * h - (int.IsOddInteger(h) ? 6 : 0) + chance.Uniform(-6, 6);
        return new Hum(chance.Uniform(-6, 12), (chance.Chance(0.7) ? 50 : 60) + chance.Uniform(-0.05, 0.05), harmonics);
    }

    private static Scene WithFaults(Scene scene, Drawing drawing)
    {
        var faults = new List<ChannelFault>();
        var arrayChannels = scene.Arrays[0].Capsules.Capsules.Count;
        var channels = arrayChannels + scene.Spots.Sum(spot => spot.Capsules?.Capsules.Count ?? 1);
        if (drawing.Has(SceneParts.CommonClicks, out var click) && click.Chance(0.4))
            faults.Add(new CommonClick(click.Uniform(0.1, scene.DurationSeconds - 0.1), click.Uniform(20, 60)));
        if (drawing.Has(SceneParts.Offsets, out var offset) && offset.Chance(0.3))
            faults.Add(new ChannelOffset(1 + offset.Index(channels), offset.Uniform(40, 70)));
        if (drawing.Has(SceneParts.Dropouts, out var dropout) && dropout.Chance(0.15))
            faults.Add(new Dropout(1 + dropout.Index(channels), dropout.Uniform(0, scene.DurationSeconds - 0.1), dropout.Uniform(0.001, 0.05)));
        if (drawing.Has(SceneParts.ClippedChannels, out var clipped) && clipped.Chance(0.15))
            faults.Add(new ClippedChannel(1 + clipped.Index(channels), clipped.Uniform(2, 8)));
        if (drawing.Has(SceneParts.DeadChannels, out var dead) && dead.Chance(0.1))
            faults.Add(new DeadChannel(1 + dead.Index(channels)));
        if (drawing.Has(SceneParts.InvertedChannels, out var inverted) && inverted.Chance(0.1))
            faults.Add(new InvertedChannel(1 + inverted.Index(channels)));
        if (drawing.Has(SceneParts.SwappedChannels, out var swapped) && swapped.Chance(0.1))
        {
            var first = 1 + swapped.Index(channels);
            faults.Add(new SwappedChannels(first, 1 + (first + swapped.Index(channels - 1)) % channels));
        }
        return scene with { Faults = faults };
    }

    /// <summary>Mean level that a clap will be given, at 1 m.</summary>
    private static double ClapDb(Scene scene) =>
        scene.Sources.Average(source => Gain.ToDb((scene.Arrays[0].CentreM - source.PositionM).Length));

    private static string Anybody(Scene scene, SeededRandom chance) => scene.Sources[chance.Index(scene.Sources.Count)].Id;
}
