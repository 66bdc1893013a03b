using CaptureProc.Session;

namespace CaptureProc.Wav.Take;

/// <summary>Recognises files that follow one another in time among those of which nothing was said.</summary>
/// <remarks>
/// Of one layout and the same track names, and then by the strongest that there is: the time stamp of the one is the end of the
/// other; without stamps, the numbers in their names are neighbours and the recorder has closed the first at the size that its disk
/// allows. What could be either is refused with the words that say it.
/// </remarks>
internal sealed class Succession(IReadOnlyList<WavFile> files, TimeStamps stamps)
{
    // 2 and 4 GiB are what the sizes of RIFF and FAT hold; recorders close a file some way before, some at the decimal 2 or 4 GB.
    private static readonly (long From, long To)[] SizeLimits = [(1_950_000_000, 1L << 31), (3_900_000_000, 1L << 32)];

    private readonly List<string> remarks = [];
    private readonly List<string> faults = [];

    public IReadOnlyList<WavFile> Files => files;

    public IReadOnlyList<string> Remarks => remarks;

    public IReadOnlyList<string> Faults => faults;

    /// <summary>The files as chains, each in the order of time; chains in the order of the files that were named.</summary>
    public IReadOnlyList<IReadOnlyList<WavFile>> Chains()
    {
        var next = new Dictionary<WavFile, WavFile>();
        foreach (var file in files)
            if (Successor(file) is { } successor)
                next[file] = successor;
        foreach (var rivals in next.GroupBy(pair => pair.Value).Where(g => g.Count() > 1).ToList())
            throw Unclear([.. rivals.Select(r => r.Key)], rivals.Key);

        var chains = new List<List<WavFile>>();
        foreach (var first in files.Where(f => !next.ContainsValue(f)))
        {
            List<WavFile> chain = [first];
            while (next.TryGetValue(chain[^1], out var following))
                chain.Add(following);
            Remark(chain);
            chains.Add(chain);
        }
        if (chains.Sum(c => c.Count) != files.Count)
            throw new UnusableInputException("take-unclear", $"{files[0].Path}: the time stamps of the take run in a circle; say what follows what with 'then', or --ignore-stamps");
        RefuseUnclear(chains);
        return [.. chains.OrderBy(c => c.Min(f => IndexOf(f)))];
    }

    /// <summary>Same channels, stored and named the same way.</summary>
    public static bool AreAlike(WavFile a, WavFile b) =>
        a.ChannelCount == b.ChannelCount && a.SampleFormat == b.SampleFormat && a.ChannelNames.SequenceEqual(b.ChannelNames);

    public static bool IsNextByName(WavFile a, WavFile b) => NameCounter.IsNext(Name(a), Name(b));

    /// <summary>What tells files apart by name: that of the file, or of its folder where all are called the same.</summary>
    public static string Name(WavFile file) => Path.ChangeExtension(file.Path, null);

    private WavFile? Successor(WavFile file)
    {
        List<WavFile> candidates = [.. files.Where(f => f != file && AreAlike(file, f) && (stamps.Continues(file, f) || IsSplitBySize(file, f)))];
        if (candidates.Count > 1)
            candidates = candidates.FindAll(f => IsNextByName(file, f)) is { Count: 1 } named ? named : throw Unclear(candidates, file);
        // Two recorders that split at the same moment: each goes on in the file of its own name.
        return candidates is [var only] && !HasBetterPredecessor(only, file) ? only : null;
    }

    private bool HasBetterPredecessor(WavFile file, WavFile than) =>
        !IsNextByName(than, file) && files.Any(f => f != than && f != file && AreAlike(f, file) && stamps.Continues(f, file) && IsNextByName(f, file));

    // Equal stamps are those of a recorder without a clock; others that do not continue say that something else happened.
    private bool IsSplitBySize(WavFile a, WavFile b) =>
        IsNextByName(a, b) && IsAtLimit(a) && (!stamps.AreTold(a, b) || stamps.FromTo(a, b) == 0);

    private static bool IsAtLimit(WavFile file) => Array.Exists(SizeLimits, limit => file.FileBytes >= limit.From && file.FileBytes <= limit.To);

    private void Remark(List<WavFile> chain)
    {
        for (var i = 1; i < chain.Count; i++)
        {
            var (a, b) = (chain[i - 1], chain[i]);
            remarks.Add($"{b.Path}: follows {a.Path} in time, by {(stamps.Continues(a, b) ? "their time stamps" : "numbers and size")}");
            if (!stamps.Continues(a, b) && stamps.AreTold(a, b))
                faults.Add($"{b.Path}: has the time stamp of {a.Path}, but by number and size it follows that; the stamps are not used: say --ignore-stamps if that is right");
            if (stamps.Continues(a, b) && NameCounter.Between(Name(a), Name(b)) is var (x, y) && x > y)
                faults.Add($"{b.Path}: follows {a.Path} by their time stamps, but the names count the other way; the stamps are followed: say --ignore-stamps and 'then' if they are wrong");
        }
    }

    private void RefuseUnclear(List<List<WavFile>> chains)
    {
        foreach (var (i, chain) in chains.Index())
            foreach (var other in chains.Take(i))
                if (AreAlike(chain[0], other[0]) && !stamps.AreTold(chain[0], other[0]) && (IsNextByName(other[^1], chain[0]) || IsNextByName(chain[^1], other[0]))
                    && (Frames(chain) != Frames(other) || IsAtLimit(chain[0])))
                    throw Unclear([other[^1]], chain[0]);
        // Files closed at the limit, every one: whether more tracks or more time, nothing tells.
        foreach (var chain in chains.Where(c => c.Count > 1 && !stamps.Continues(c[^2], c[^1]) && c[^1].FrameCount == c[0].FrameCount))
            throw Unclear([chain[^2]], chain[^1]);
    }

    private static long Frames(List<WavFile> chain) => chain.Sum(f => f.FrameCount);

    private static UnusableInputException Unclear(List<WavFile> others, WavFile file)
    {
        var other = others[0].Path;
        return new UnusableInputException("take-unclear",
            $"{file.Path}: may follow {string.Join(" or ", others.Select(o => o.Path))} in time, or run beside it; write {other} {TakeFiles.Then} {file.Path}, or {other} {TakeFiles.With} {file.Path}");
    }

    private int IndexOf(WavFile file)
    {
        for (var i = 0; i < files.Count; i++)
            if (files[i] == file)
                return i;
        return -1;
    }
}
