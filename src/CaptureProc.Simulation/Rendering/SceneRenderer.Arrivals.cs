using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Sources;

namespace CaptureProc.Simulation.Rendering;

// What reaches a microphone: the direct sound, split or bent where it is, the room, the board beside the microphone, the floor.
public sealed partial class SceneRenderer
{
    private double ResponseSeconds => Math.Min(scene.LongestTailSeconds, scene.Room.ReverberationSeconds);

    private Arrivals Arrivals(SceneSource place, Receiver receiver)
    {
        if (scene.DirectOnly)
            return Direct(place, receiver);
        var mirroredCount = 1;
        var images = scene.FreeField
            ? [ImageField.Direct(place.PositionM, place.Radiation, receiver.CentreM)]
            : ImageField.At(scene.Room, place.PositionM, place.Radiation, receiver.CentreM, ResponseSeconds,
                chance.Fork($"tail from {place.Id} at {receiver.Id}"), out mirroredCount);
        if (scene.IsIdeal)
            return new Arrivals(images, 1, mirroredCount);

        var all = new List<ImageSource>(images.Length + 16);
        all.AddRange(DirectImages(place, receiver, images[0], out var second));
        var directCount = all.Count;
        if (second is { } roundTheOtherSide)
            all.Add(roundTheOtherSide);
        all.AddRange(images.AsSpan(1, mirroredCount - 1));
        if (receiver.Build?.Board is { } board)
            for (int i = 0, count = all.Count; i < count; i++)
                if (board.Faces(all[i].PositionM))
                    all.Add(new ImageSource(board.Mirrored(all[i].PositionM), 0.7 * board.Strength * all[i].Gain, board.Strength * all[i].HighGain) { BassGain = 0 });
        var distinctCount = all.Count;
        all.AddRange(images.AsSpan(mirroredCount));
        return new Arrivals([.. all], directCount, distinctCount);
    }

    /// <summary>The direct sound alone.</summary>
    private Arrivals Direct(SceneSource place, Receiver receiver)
    {
        var direct = ImageField.Direct(place.PositionM, place.Radiation, receiver.CentreM);
        var images = scene.IsIdeal ? [direct] : DirectImages(place, receiver, direct, out _);
        return new Arrivals(images, images.Length, images.Length);
    }

    private ImageSource[] DirectImages(SceneSource place, Receiver receiver, ImageSource direct, out ImageSource? second)
    {
        second = null;
        foreach (var body in scene.Bodies)
            if (body.Around(direct, receiver.CentreM) is { } waves)
            {
                second = waves.Second;
                // Round a corner a source is no wider than a point.
                return [waves.First];
            }
        return place.WidthM > 0 ? SourceWidth.Spread(direct, place.WidthM, chance.Fork($"width of {place.Id}")) : [direct];
    }

    /// <summary>What the stand picks up from the boards, into the response that is being made.</summary>
    private void AddThroughFloor(SceneSource place, Receiver receiver)
    {
        if (scene.StageFloor is not { } floor || receiver.Build?.StandDb is not { } standDb)
            return;
        var path = place.PositionM - receiver.CentreM;
        floor.Add(response, Math.Sqrt(path.X * path.X + path.Y * path.Y), standDb, 1, scene.SampleRateHz);
    }
}
