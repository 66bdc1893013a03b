using System.Numerics;
using CaptureProc.Dsp.Binaural;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>Takes out of a set what all directions have in common, and mends the lowest octaves.</summary>
/// <remarks>
/// Thread: [main]. What remains is what depends on the direction: each ear is flat in a diffuse field, which is what
/// headphones are commonly made for, and time zero is the moment when sound passes the middle of the head.
/// Magnitude: that of the diffuse field, per ear, is divided out: loudspeaker, microphone, ear canal.
/// Phase: half that of mean(left·right), since over the sphere one ear's lead makes up for the other's lag. Its slope is the
/// delay of the measurement, the rest the phase of the equipment; both ears lose the same, so no time difference is touched.
/// Low frequencies: small loudspeakers and short windows leave nothing trustworthy there, but the answer is known. A head
/// much smaller than the wave shadows nothing, so levels approach 1, and the delay of each ear becomes constant.
/// </remarks>
internal static class DiffuseEqualiser
{
    // Above the rumble of measuring rooms, below where a head begins to shadow.
    private const double LowestTrustedHz = 250;

    // The phase is needed up to where the design lets go of it (about 2 kHz); above, the delay alone is carried on.
    private const double HighestPhaseHz = 4000;

    // -80 dB: a set measured at 44.1 kHz has nothing left close to half its rate, and that is not to be pulled up.
    private const double SmallestOfLargest = 1e-4;

    public static void Apply(HeadSpectra spectra)
    {
        var lowestBin = (int)Math.Ceiling(LowestTrustedHz / spectra.BinHz);
        Flatten(spectra, CommonPhase(spectra, lowestBin));
        for (var bin = 0; bin < lowestBin; bin++)
            Extrapolate(spectra, bin, lowestBin);
        Flatten(spectra, new double[spectra.BinCount]);
    }

    private static void Flatten(HeadSpectra spectra, double[] phase)
    {
        for (var ear = 0; ear < HeadResponses.Ears; ear++)
        {
            var level = new double[spectra.BinCount];
            var largest = 0.0;
            for (var bin = 0; bin < level.Length; bin++)
            {
                var field = spectra.DiffuseCovariance(bin);
                level[bin] = Math.Sqrt(ear == 0 ? field.Left : field.Right);
                largest = Math.Max(largest, level[bin]);
            }
            for (var bin = 0; bin < level.Length; bin++)
                spectra.Scale(bin, ear, Complex.FromPolarCoordinates(1 / Math.Max(level[bin], SmallestOfLargest * largest), -phase[bin]));
        }
    }

    private static double[] CommonPhase(HeadSpectra spectra, int lowestBin)
    {
        var highestBin = Math.Min((int)(HighestPhaseHz / spectra.BinHz), spectra.BinCount - 1);
        var phase = new double[spectra.BinCount];
        for (var bin = lowestBin; bin <= highestBin; bin++)
        {
            var product = MeanProduct(spectra, bin);
            phase[bin] = Math.Atan2(product.Imaginary, product.Real) / 2;
            // The halved phase is known up to half a turn; it moves on smoothly from the bin before.
            if (bin > lowestBin)
                phase[bin] += Math.PI * Math.Round((phase[bin - 1] - phase[bin]) / Math.PI);
        }

        // Which of the two it is shows at low frequencies, where every response is close to +1.
        var sum = Complex.Zero;
        for (var bin = lowestBin; bin < 2 * lowestBin; bin++)
            sum += Complex.FromPolarCoordinates(1, -phase[bin]) * MeanOfBothEars(spectra, bin);
        if (sum.Real < 0)
            for (var bin = lowestBin; bin <= highestBin; bin++)
                phase[bin] += Math.PI;

        var slope = (phase[highestBin] - phase[highestBin / 2]) / (highestBin - highestBin / 2);
        for (var bin = highestBin + 1; bin < phase.Length; bin++)
            phase[bin] = phase[bin - 1] + slope;
        return phase;
    }

    private static Complex MeanProduct(HeadSpectra spectra, int bin)
    {
        var lr = spectra.Re(bin, 0);
        var li = spectra.Im(bin, 0);
        var rr = spectra.Re(bin, 1);
        var ri = spectra.Im(bin, 1);
        double re = 0, im = 0;
        for (var i = 0; i < lr.Length; i++)
        {
            re += spectra.Shares[i] * (lr[i] * rr[i] - li[i] * ri[i]);
            im += spectra.Shares[i] * (lr[i] * ri[i] + li[i] * rr[i]);
        }
        return new Complex(re, im);
    }

    private static Complex MeanOfBothEars(HeadSpectra spectra, int bin)
    {
        double re = 0, im = 0;
        for (var ear = 0; ear < HeadResponses.Ears; ear++)
        {
            for (var i = 0; i < spectra.Shares.Length; i++)
            {
                re += spectra.Shares[i] * spectra.Re(bin, ear)[i];
                im += spectra.Shares[i] * spectra.Im(bin, ear)[i];
            }
        }
        return new Complex(re, im);
    }

    // From the lowest trusted bin down: the level runs to 1 in proportion to frequency, the phase to 0.
    private static void Extrapolate(HeadSpectra spectra, int bin, int lowestBin)
    {
        var share = (double)bin / lowestBin;
        for (var ear = 0; ear < HeadResponses.Ears; ear++)
        {
            var fromRe = spectra.Re(lowestBin, ear);
            var fromIm = spectra.Im(lowestBin, ear);
            var re = spectra.Re(bin, ear);
            var im = spectra.Im(bin, ear);
            for (var i = 0; i < re.Length; i++)
            {
                var trusted = new Complex(fromRe[i], fromIm[i]);
                var value = Complex.FromPolarCoordinates(1 + share * (trusted.Magnitude - 1), share * trusted.Phase);
                (re[i], im[i]) = (value.Real, value.Imaginary);
            }
        }
    }
}
