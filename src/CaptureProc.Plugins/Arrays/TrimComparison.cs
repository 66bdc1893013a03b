using CaptureProc.Dsp.Matrix;
using CaptureProc.Plugins.Automation;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The gains of the capsules: which of two sets plays, and how loud the second one is to be.</summary>
/// <remarks>
/// Thread: Prepare [main], the rest [audio]. Allocates: in Prepare only.
/// At equal level the second set makes a W of the power that the first would make of the same sound, as it has been over the last
/// seconds. What is heard while comparing no longer counts: the sound of that moment stands still until the first set
/// plays again, so that going back and forth is always the same step.
/// </remarks>
internal sealed class TrimComparison
{
    private const int Capsules = 4;

    private readonly float[] first = new float[Capsules];
    private readonly float[] second = new float[Capsules];
    private SumPower still = new(1);
    private bool isSecond;

    /// <summary>What equal level adds to the set that plays.</summary>
    public double AddedDb { get; private set; }

    public void Prepare() => (still, isSecond) = (new SumPower(1), false);

    /// <summary>Writes the linear gains of the capsules, polarity in them.</summary>
    /// <param name="switches">Which sets, which of them, at equal level or not.</param>
    /// <param name="byHandDb">The trims added by hand.</param>
    /// <param name="heard">What the capsules would have added to W up to now.</param>
    /// <param name="gains">The result.</param>
    public void Fill(in TrimSwitches switches, ReadOnlySpan<float> byHandDb, SumPower heard, Span<float> gains)
    {
        if (switches.IsSecond && !isSecond)
            heard.CopyTo(still);
        isSecond = switches.IsSecond;
        Fill(switches, switches.FirstPlace, byHandDb, first);
        Fill(switches, switches.SecondPlace, byHandDb, second);
        AddedDb = isSecond && switches.EqualLevel ? Difference(first, second) : 0;
        var playing = isSecond ? second : first;
        var added = Decibel.ToLinear((float)AddedDb);
        for (var i = 0; i < Capsules; i++)
            gains[i] = playing[i] * added;
    }

    private static void Fill(in TrimSwitches switches, int place, ReadOnlySpan<float> byHandDb, Span<float> linear)
    {
        Span<float> db = stackalloc float[Capsules];
        var set = switches.Trims.Db(place);
        for (var i = 0; i < Capsules; i++)
            db[i] = set[i] + byHandDb[i];
        var matchDb = switches.MatchOfTrims ? TrimTable.MatchingDb(db) : 0;
        for (var i = 0; i < Capsules; i++)
            linear[i] = Decibel.ToLinear(db[i] + matchDb) * ((switches.Inverted >> i & 1) == 0 ? 1 : -1);
    }

    /// <summary>dB that the second has to gain; by the gains alone, as for sounds that have nothing in common, where nothing has sounded.</summary>
    private double Difference(ReadOnlySpan<float> first, ReadOnlySpan<float> second)
    {
        var (wanted, given) = (still.With(first), still.With(second));
        if (!(wanted > 0 && given > 0))
            (wanted, given) = (SumOfSquares(first), SumOfSquares(second));
        return 10 * Math.Log10(wanted / given);
    }

    private static double SumOfSquares(ReadOnlySpan<float> gains)
    {
        var sum = 0.0;
        foreach (var gain in gains)
            sum += (double)gain * gain;
        return sum;
    }
}

/// <summary>What of the capsules' gains goes by switches.</summary>
internal readonly record struct TrimSwitches(
    TrimTable Trims, int FirstPlace, int SecondPlace, bool IsSecond, bool EqualLevel, bool MatchOfTrims, int Inverted)
{
    // Written out, because the comparers of the library are made at their first use, and that would be the audio thread's.
    public bool Equals(TrimSwitches other) =>
        ReferenceEquals(Trims, other.Trims) && FirstPlace == other.FirstPlace && SecondPlace == other.SecondPlace && IsSecond == other.IsSecond
        && EqualLevel == other.EqualLevel && MatchOfTrims == other.MatchOfTrims && Inverted == other.Inverted;

    public override int GetHashCode() => HashCode.Combine(Trims, FirstPlace, SecondPlace, IsSecond, EqualLevel, MatchOfTrims, Inverted);
}
