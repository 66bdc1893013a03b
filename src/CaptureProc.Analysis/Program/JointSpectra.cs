using System.Numerics;

namespace CaptureProc.Analysis.Program;

/// <summary>What all spots and W have in common, bin by bin: the spectral matrix, and from it what a single spot shares with W alone.</summary>
/// <remarks>
/// Thread: one writer. Every player is heard in every spot. In a plain correlation a loud neighbour's lag can outdo that of the
/// spot's own, quiet player. The partial coherence of spot and W, given all other spots, leaves out what those explain:
/// with P the inverse of the spectral matrix it is −P_ws/√(P_ww·P_ss).
/// Source: partial coherence as in Bendat and Piersol, Random Data, the chapter on multiple-input systems (from memory).
/// </remarks>
public sealed class JointSpectra
{
    // Of the mean power on the diagonal: -50 dB. Spots that record nothing but noise must not make the matrix singular.
    private const double Ridge = 1e-5;

    private readonly int size;
    private readonly Complex[][] matrices;

    public JointSpectra(int spots, int bins)
    {
        size = spots + 1;
        matrices = new Complex[bins][];
        for (var k = 0; k < bins; k++)
            matrices[k] = new Complex[size * size];
    }

    /// <summary>Windows that went in.</summary>
    public int Count { get; private set; }

    /// <param name="spectra">The spots in order, then W.</param>
    internal void Add(IReadOnlyList<(double[] Re, double[] Im)> spectra)
    {
        Span<Complex> values = stackalloc Complex[size];
        for (var k = 0; k < matrices.Length; k++)
        {
            for (var i = 0; i < size; i++)
                values[i] = new Complex(spectra[i].Re[k], spectra[i].Im[k]);
            var matrix = matrices[k];
            for (var i = 0; i < size; i++)
                for (var j = 0; j <= i; j++)
                    matrix[i * size + j] += values[i] * Complex.Conjugate(values[j]);
        }
        Count++;
    }

    /// <summary>Writes the partial coherence of W with each spot, as complex numbers whose phase is that of W against the spot.</summary>
    public Complex[][] PartialCoherences()
    {
        var partial = new Complex[size - 1][];
        for (var s = 0; s < partial.Length; s++)
            partial[s] = new Complex[matrices.Length];
        var work = new Complex[size * size];
        var inverse = new Complex[size * size];
        for (var k = 0; k < matrices.Length; k++)
        {
            if (!Load(matrices[k], work))
                continue;
            HermitianInverse.Compute(work, inverse, size);
            var w = size - 1;
            for (var s = 0; s < w; s++)
            {
                var scale = Math.Sqrt(inverse[w * size + w].Real * inverse[s * size + s].Real);
                if (scale > 0)
                    partial[s][k] = -inverse[w * size + s] / scale;
            }
        }
        return partial;
    }

    // Scaled to a unit diagonal, so that quiet spots keep their say.
    private bool Load(Complex[] matrix, Complex[] work)
    {
        for (var i = 0; i < size; i++)
            if (!(matrix[i * size + i].Real > 0))
                return false;
        for (var i = 0; i < size; i++)
        {
            for (var j = 0; j <= i; j++)
            {
                var value = matrix[i * size + j] / Math.Sqrt(matrix[i * size + i].Real * matrix[j * size + j].Real);
                work[i * size + j] = value;
                work[j * size + i] = Complex.Conjugate(value);
            }
            work[i * size + i] = 1 + Ridge;
        }
        return true;
    }
}
