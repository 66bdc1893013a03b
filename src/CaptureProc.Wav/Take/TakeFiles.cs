using System.Collections;
using System.Runtime.CompilerServices;
using CaptureProc.Session;

namespace CaptureProc.Wav;

/// <summary>The files of a take as somebody names them: in order, with a word between two of them where it has to be said.</summary>
/// <remarks>
/// <c>a.wav then b.wav</c>: b follows a in time, as when the recorder has split the take. <c>a.wav with b.wav</c>: they run side by side
/// and b's channels count on from a's. Without a word it is recognised, or asked for. "then" binds closer than "with". A file that is
/// called one of these words is written <c>./then</c>.
/// </remarks>
[CollectionBuilder(typeof(TakeFiles), nameof(Of))]
public sealed class TakeFiles : IEnumerable<string>
{
    public const string Then = InputFingerprint.Then;
    public const string With = InputFingerprint.With;

    private readonly string[] words;

    public TakeFiles(IEnumerable<string> words, bool ignoreStamps = false)
    {
        this.words = [.. words];
        IgnoreStamps = ignoreStamps;
        Paths = [.. this.words.Where(w => !IsWord(w))];
        if (Paths.Count == 0)
            throw new UnusableInputException("no-input", "no recording is given; name one or more audio files");
        for (var i = 0; i < this.words.Length; i++)
            if (IsWord(this.words[i]) && (i == 0 || i == this.words.Length - 1 || IsWord(this.words[i - 1])))
                throw new UnusableInputException("bad-arguments",
                    $"'{this.words[i]}' has to stand between two files, as a.wav {this.words[i]} b.wav; a file of that name is written ./{this.words[i]}");
    }

    /// <summary>Whether time stamps are left aside, so that files start together.</summary>
    public bool IgnoreStamps { get; }

    /// <summary>The files alone.</summary>
    public IReadOnlyList<string> Paths { get; }

    /// <summary>The places in <see cref="Paths"/>, by what was said: stretches side by side, in them runs, in a run files that follow one another.</summary>
    internal IReadOnlyList<IReadOnlyList<IReadOnlyList<int>>> Stretches()
    {
        List<List<List<int>>> stretches = [[]];
        var (next, joins) = (0, false);
        foreach (var word in words)
        {
            if (word == With)
                stretches.Add([]);
            else if (word == Then)
                joins = true;
            else
            {
                if (!joins)
                    stretches[^1].Add([]);
                stretches[^1][^1].Add(next++);
                joins = false;
            }
        }
        return stretches;
    }

    public static TakeFiles Of(ReadOnlySpan<string> words) => new(words.ToArray());

    public static implicit operator TakeFiles(string[] words) => new(words);

    public IEnumerator<string> GetEnumerator() => ((IEnumerable<string>)words).GetEnumerator();

    IEnumerator IEnumerable.GetEnumerator() => GetEnumerator();

    private static bool IsWord(string word) => word is Then or With;
}
