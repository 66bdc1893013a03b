namespace CaptureProc.Analysis.Program;

/// <summary>The spectra of one spot, summed apart over the stretches of a recording, so that their answers can be compared.</summary>
public sealed class SpotSpectra(int stretches, int bins)
{
    private readonly SpectrumSum[] sums = [.. Enumerable.Range(0, stretches).Select(_ => new SpectrumSum(bins))];

    public SpectrumSum Stretch(int index) => sums[index];

    /// <summary>The stretches in which something was heard.</summary>
    public IEnumerable<SpectrumSum> Filled => sums.Where(s => s.Count >= 8);

    public SpectrumSum Whole()
    {
        var whole = new SpectrumSum(bins);
        foreach (var sum in sums)
            whole.Add(sum);
        return whole;
    }

    /// <summary>Everything but one stretch.</summary>
    public SpectrumSum Without(SpectrumSum left)
    {
        var rest = new SpectrumSum(bins);
        foreach (var sum in sums)
            if (!ReferenceEquals(sum, left))
                rest.Add(sum);
        return rest;
    }
}
