using System.Numerics;

namespace CaptureProc.Analysis.Program;

/// <summary>What spots and capsules have in common over a long stretch: every cross-spectrum, summed over overlapping blocks.</summary>
/// <remarks>
/// Thread: one at a time. Memory: (S²+5S+1)/2 complex numbers a bin for S spots, whatever the length.
/// Shape: bins <see cref="FirstBin"/>…FirstBin+BinCount−1 of the block transform.
/// Source: Welch's average of periodograms; Bendat and Piersol for multiple inputs (from memory).
/// </remarks>
public sealed class LongTermSpectra
{
    private readonly Complex[][] between;
    private readonly Complex[][][] toCapsules;
    private readonly double[][] capsulePowers;

    public LongTermSpectra(int spotCount, int capsuleCount, int firstBin, int binCount)
    {
        (SpotCount, CapsuleCount, FirstBin, BinCount) = (spotCount, capsuleCount, firstBin, binCount);
        capsulePowers = [.. Enumerable.Range(0, capsuleCount).Select(_ => new double[binCount])];
        between = new Complex[spotCount * spotCount][];
        toCapsules = new Complex[spotCount][][];
        for (var i = 0; i < spotCount; i++)
        {
            for (var j = 0; j <= i; j++)
                between[i * spotCount + j] = new Complex[binCount];
            toCapsules[i] = new Complex[capsuleCount][];
            for (var c = 0; c < capsuleCount; c++)
                toCapsules[i][c] = new Complex[binCount];
        }
    }

    public int SpotCount { get; }

    public int CapsuleCount { get; }

    public int FirstBin { get; }

    public int BinCount { get; }

    public int BlockCount { get; private set; }

    /// <summary>Sum of spot i times the conjugate of spot j, for j ≤ i.</summary>
    public Complex Between(int i, int j, int bin) => between[i * SpotCount + j][bin];

    /// <summary>Sum of a capsule times the conjugate of a spot.</summary>
    public Complex ToCapsule(int spot, int capsule, int bin) => toCapsules[spot][capsule][bin];

    public double CapsulePower(int capsule, int bin) => capsulePowers[capsule][bin];

    /// <summary>Takes one block: spectra of all spots and of all capsules, from bin 0.</summary>
    public void Add(IReadOnlyList<Complex[]> spots, IReadOnlyList<Complex[]> capsules)
    {
        for (var i = 0; i < SpotCount; i++)
        {
            var spot = spots[i].AsSpan(FirstBin, BinCount);
            for (var j = 0; j <= i; j++)
                Accumulate(spot, spots[j].AsSpan(FirstBin, BinCount), between[i * SpotCount + j]);
            for (var c = 0; c < CapsuleCount; c++)
                Accumulate(capsules[c].AsSpan(FirstBin, BinCount), spot, toCapsules[i][c]);
        }
        for (var c = 0; c < CapsuleCount; c++)
            for (var k = 0; k < BinCount; k++)
            {
                var bin = capsules[c][FirstBin + k];
                capsulePowers[c][k] += bin.Real * bin.Real + bin.Imaginary * bin.Imaginary;
            }
        BlockCount++;
    }

    /// <summary>Adds what another stretch of the same recording holds.</summary>
    public void Add(LongTermSpectra other)
    {
        for (var i = 0; i < SpotCount; i++)
        {
            for (var j = 0; j <= i; j++)
                Add(other.between[i * SpotCount + j], between[i * SpotCount + j]);
            for (var c = 0; c < CapsuleCount; c++)
                Add(other.toCapsules[i][c], toCapsules[i][c]);
        }
        for (var c = 0; c < CapsuleCount; c++)
            for (var k = 0; k < BinCount; k++)
                capsulePowers[c][k] += other.capsulePowers[c][k];
        BlockCount += other.BlockCount;
    }

    private static void Accumulate(ReadOnlySpan<Complex> a, ReadOnlySpan<Complex> b, Complex[] sum)
    {
        for (var k = 0; k < sum.Length; k++)
            sum[k] += a[k] * Complex.Conjugate(b[k]);
    }

    private static void Add(Complex[] from, Complex[] to)
    {
        for (var k = 0; k < to.Length; k++)
            to[k] += from[k];
    }
}
