using CaptureProc.Session;

namespace CaptureProc.Wav.Take;

/// <summary>Which files of a take follow one another in time, which run side by side, and where each begins.</summary>
/// <remarks>
/// What is said ("then", "with") is done; what is not said is recognised (<see cref="Succession"/>) or asked for: half a take that is
/// taken for further channels is half a take lost. Chains lie where their time stamps put them; without stamps they start together.
/// </remarks>
internal sealed class TakeArrangement
{
    private readonly List<FileChain> chains = [];
    private readonly List<string> warnings = [];
    private readonly List<string> faults = [];
    private readonly TimeStamps stamps;

    /// <param name="words">What was said.</param>
    /// <param name="files">The files, opened, in the order of the words.</param>
    public TakeArrangement(TakeFiles words, IReadOnlyList<WavFile> files)
    {
        RefuseRepetition(files);
        stamps = new TimeStamps(files, words.IgnoreStamps, faults);
        var stretches = words.Stretches();
        foreach (var stretch in stretches)
        {
            var stated = stretch.Where(run => run.Count > 1).Select(run => Join([.. run.Select(i => files[i])])).ToList();
            var succession = new Succession([.. stretch.Where(run => run.Count == 1).Select(run => files[run[0]])], stamps);
            var recognised = succession.Files.Count == 0 ? [] : succession.Chains().Select(chain => new FileChain(chain, Starts(chain)));
            warnings.AddRange(succession.Remarks);
            faults.AddRange(succession.Faults);
            chains.AddRange(stated.Concat(recognised).Select(c => c with { IsStatedBeside = stretches.Count > 1 || c.Files.Count > 1 })
                .OrderBy(c => c.Files.Min(f => Array.IndexOf([.. files], f))));
        }
        RefuseTextOrder();
        Place();
    }

    public IReadOnlyList<FileChain> Chains => chains;

    /// <summary>In passing.</summary>
    public IReadOnlyList<string> Warnings => warnings;

    /// <summary>What needs attention.</summary>
    public IReadOnlyList<string> Faults => faults;

    /// <summary>The time stamp of the take's first frame; null where no file is stamped.</summary>
    public long? StampFrames { get; private set; }

    private static void RefuseRepetition(IReadOnlyList<WavFile> files)
    {
        var seen = new Dictionary<FileIdentity, WavFile>();
        foreach (var file in files)
            if (FileIdentity.Of(file.Path) is { } identity && !seen.TryAdd(identity, file))
                throw new UnusableInputException("given-twice", $"{file.Path}: is given twice{(seen[identity].Path == file.Path ? "" : $", as {seen[identity].Path} too")}; give every file of the take once");
    }

    /// <summary>Files that were said to follow one another: gaps as their stamps have them, where the stamps agree.</summary>
    private FileChain Join(List<WavFile> run)
    {
        var starts = new List<long> { 0 };
        for (var i = 1; i < run.Count; i++)
        {
            var (a, b) = (run[i - 1], run[i]);
            if (a.ChannelCount != b.ChannelCount)
                throw new UnusableInputException("take-unclear", $"{b.Path}: has {b.ChannelCount} channels and cannot follow {a.Path}, which has {a.ChannelCount}; write 'with' between them if they run side by side");
            if (!a.ChannelNames.SequenceEqual(b.ChannelNames))
                faults.Add($"{b.Path}: its track names are not those of {a.Path}, which it follows; check that it is the same take");
            var gap = stamps.AreTold(a, b) && !stamps.Continues(a, b) ? stamps.Gap(a, b) : 0;
            if (gap > 0)
                warnings.Add($"{b.Path}: begins {TimeStamps.Seconds(gap, b.SampleRateHz)} after the end of {a.Path} by its time stamp; silence is taken between them");
            else if (gap < 0)
                faults.Add($"{b.Path}: begins {TimeStamps.Seconds(-gap, b.SampleRateHz)} before the end of {a.Path} by its time stamp, but is said to follow it; it is taken to follow at once: say --ignore-stamps if that is right");
            starts.Add(starts[^1] + a.FrameCount + Math.Max(0, gap));
        }
        return new FileChain(run, starts);
    }

    private static List<long> Starts(IReadOnlyList<WavFile> chain)
    {
        var starts = new List<long> { 0 };
        for (var i = 1; i < chain.Count; i++)
            starts.Add(starts[^1] + chain[i - 1].FrameCount);
        return starts;
    }

    /// <summary>Refuses files that a listing has sorted as text: track 1, 10, 2. Whoever means it says "with".</summary>
    private void RefuseTextOrder()
    {
        for (var i = 1; i < chains.Count; i++)
        {
            var (a, b) = (chains[i - 1].First, chains[i].First);
            if (chains[i].IsStatedBeside || string.CompareOrdinal(a.Path, b.Path) > 0)
                continue;
            if (CountsDown(Succession.Name(a), Succession.Name(b)) is { } numbers)
                throw TextOrder(b, $"{numbers} in the names of the files");
            if (a.ChannelNames is [{ } trackA] && b.ChannelNames is [{ } trackB] && CountsDown(trackA, trackB) is { } tracks)
                throw TextOrder(b, $"{tracks} in the names of the tracks");
        }
    }

    private static string? CountsDown(string a, string b) =>
        string.CompareOrdinal(a, b) < 0 && NameCounter.Between(a, b) is var (x, y) && x > y ? $"{x}, {y}" : null;

    private static UnusableInputException TextOrder(WavFile file, string what) => new("take-unclear",
        $"{file.Path}: the files seem to be sorted as text ({what}), and channels count on in that order; give them in the order of their numbers, or write 'with' between them to keep this one");

    /// <summary>Puts the chains where their stamps say, the earliest at 0.</summary>
    private void Place()
    {
        foreach (var chain in chains)
            if (stamps.Of(chain.First) == 0 && chains.Exists(c => stamps.Of(c.First) > 0 && !Overlap(c, chain)))
            {
                faults.Add($"{chain.Path}: its time stamp is 0 and shares no moment with the others; it is taken for none, and the file to start with the take");
                stamps.Drop(chain.First);
            }
        var stamped = chains.FindAll(c => stamps.Of(c.First) is not null);
        if (stamped.Count == 0)
            return;
        foreach (var chain in stamped)
            if (stamped.Count > 1 && !stamped.Exists(c => c != chain && Overlap(c, chain)))
                throw Apart(stamped.First(c => c != chain), chain);

        var first = stamped.MinBy(c => stamps.FromTo(stamped[0].First, c.First))!;
        StampFrames = stamps.Of(first.First);
        for (var i = 0; i < chains.Count; i++)
        {
            var chain = chains[i];
            if (stamps.Of(chain.First) is null)
            {
                if (stamped.Exists(c => stamps.FromTo(first.First, c.First) != 0))
                    faults.Add($"{chain.Path}: has no time stamp, but the others have and do not start together; it is taken to start with {first.Path}");
                continue;
            }
            chains[i] = chain with { Start = stamps.FromTo(first.First, chain.First) };
            if (chains[i].Start > 0)
                warnings.Add($"{chain.Path}: begins {TimeStamps.Seconds(chains[i].Start, chain.First.SampleRateHz)} after {first.Path} by its time stamp, and lies there");
        }
    }

    private bool Overlap(FileChain a, FileChain b)
    {
        var later = stamps.FromTo(a.First, b.First);
        return later < a.FrameCount && -later < b.FrameCount;
    }

    private UnusableInputException Apart(FileChain a, FileChain b)
    {
        if (stamps.FromTo(a.First, b.First) < 0)
            (a, b) = (b, a);
        var gap = stamps.FromTo(a.First, b.First) - a.FrameCount;
        return new UnusableInputException("take-unclear",
            $"{b.Path}: begins {TimeStamps.Seconds(gap, b.First.SampleRateHz)} after the end of {a.Path} by its time stamp, so they do not run side by side; write {a.Files[^1].Path} {TakeFiles.Then} {b.Path} if it follows, or --ignore-stamps if the stamps are wrong");
    }
}
