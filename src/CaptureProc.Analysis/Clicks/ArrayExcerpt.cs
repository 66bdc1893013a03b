using System.Numerics;

namespace CaptureProc.Analysis.Clicks;

/// <summary>The capsules of an array around one click.</summary>
public sealed class ArrayExcerpt
{
    public ArrayExcerpt(ArrayModel model, IReadOnlyList<double[]> capsules)
    {
        Capsules = capsules;
        var spectra = new Complex[capsules.Count][];
        for (var i = 0; i < spectra.Length; i++)
            spectra[i] = model.Whole.Forward(capsules[i]);
        Spectra = spectra;
        WSpectrum = model.ToW(spectra);
        W = model.Whole.Inverse(WSpectrum);
        PlainW = model.Manifold.ToPlainW(capsules);
    }

    public IReadOnlyList<double[]> Capsules { get; }

    public IReadOnlyList<Complex[]> Spectra { get; }

    /// <summary>The reference: W through the full correction.</summary>
    public double[] W { get; }

    public Complex[] WSpectrum { get; }

    /// <summary>W through the plain matrix.</summary>
    public double[] PlainW { get; }
}
