using CaptureProc.Session;

namespace CaptureProc.Rendering.Alignment;

/// <summary>The names of the files: by the ids of the session.</summary>
internal sealed class AlignmentFiles
{
    public AlignmentFiles(OutputFolder folder, ArrayEntry array, IReadOnlyList<AlignedSpot> spots, IReadOnlyList<bool> placed)
    {
        var taken = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        string Name(string wanted)
        {
            // A spot may be called as the array, or as another placed spot's file.
            var name = wanted;
            for (var n = 2; !taken.Add(name); n++)
                name = $"{wanted}-{n}";
            return folder.File($"{name}.wav");
        }
        ArrayFile = Name(array.Id);
        Spots = [.. spots.Select((s, i) => new AlignedSpotFiles(s, Name(s.Spot.Id), placed[i] ? Name($"{s.Spot.Id}-placed") : null))];
    }

    public string ArrayFile { get; }

    public IReadOnlyList<AlignedSpotFiles> Spots { get; }
}
