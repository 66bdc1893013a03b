using System.Numerics;
using CaptureProc.Dsp.Binaural;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>One step of magnitude least squares at one frequency.</summary>
/// <remarks>
/// The target of each direction has the measured level. Its phase is the measured one below the crossover, that of the present
/// decoder above, and turns from one to the other in between. The step is the least-squares fit to that target; it never
/// makes the error of the levels larger, because it first picks the nearest target and then the nearest decoder.
/// </remarks>
internal sealed class LevelFit
{
    private readonly HeadSpectra spectra;
    private readonly FieldProjection projection;
    private readonly double crossoverHz;
    private readonly double crossoverOctaves;
    private readonly double[] re;
    private readonly double[] im;
    private readonly double[] gainsRe;
    private readonly double[] gainsIm;

    public LevelFit(HeadSpectra spectra, FieldProjection projection, double crossoverHz, double crossoverOctaves)
    {
        (this.spectra, this.projection) = (spectra, projection);
        (this.crossoverHz, this.crossoverOctaves) = (crossoverHz, crossoverOctaves);
        (re, im) = (new double[spectra.Directions.Length], new double[spectra.Directions.Length]);
        (gainsRe, gainsIm) = (new double[projection.Channels], new double[projection.Channels]);
    }

    /// <summary>Replaces the gains of a bin by better ones, with phases from the decoder as it stands at a bin.</summary>
    public void Improve(DecoderSpectra decoder, int bin, int phasesFromBin)
    {
        var freedom = FreedomOfPhase(bin * spectra.BinHz);
        for (var ear = 0; ear < HeadResponses.Ears; ear++)
        {
            if (freedom > 0)
            {
                Load(decoder, phasesFromBin, ear);
                projection.Decode(gainsRe, re);
                projection.Decode(gainsIm, im);
            }
            TakeTarget(spectra.Re(bin, ear), spectra.Im(bin, ear), freedom);
            projection.Fit(re, gainsRe);
            projection.Fit(im, gainsIm);
            for (var channel = 0; channel < projection.Channels; channel++)
                decoder[bin, ear, channel] = new Complex(gainsRe[channel], gainsIm[channel]);
        }
    }

    private double FreedomOfPhase(double frequencyHz) =>
        Math.Clamp(Math.Log2(Math.Max(frequencyHz, 1) / crossoverHz) / crossoverOctaves + 0.5, 0, 1);

    private void Load(DecoderSpectra decoder, int bin, int ear)
    {
        for (var channel = 0; channel < projection.Channels; channel++)
            (gainsRe[channel], gainsIm[channel]) = (decoder[bin, ear, channel].Real, decoder[bin, ear, channel].Imaginary);
    }

    // re, im: in, what the present decoder does (if the phase is free at all); out, the target.
    private void TakeTarget(ReadOnlySpan<double> measuredRe, ReadOnlySpan<double> measuredIm, double freedom)
    {
        for (var i = 0; i < re.Length; i++)
        {
            var level = Math.Sqrt(measuredRe[i] * measuredRe[i] + measuredIm[i] * measuredIm[i]);
            var (x, y) = (measuredRe[i], measuredIm[i]);
            if (freedom > 0)
            {
                var (measured, decoded) = ((1 - freedom) / Math.Max(level, 1e-12), freedom / Math.Max(Math.Sqrt(re[i] * re[i] + im[i] * im[i]), 1e-12));
                (x, y) = (measured * x + decoded * re[i], measured * y + decoded * im[i]);
            }
            var length = Math.Max(Math.Sqrt(x * x + y * y), 1e-12);
            (re[i], im[i]) = (level * x / length, level * y / length);
        }
    }
}
