using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>The gains from each channel of the field to each ear over frequency: what is being designed.</summary>
internal sealed class DecoderSpectra(int bins, int channels)
{
    private readonly Complex[] gains = new Complex[bins * HeadResponses.Ears * channels];

    public int Channels => channels;

    public ref Complex this[int bin, int ear, int channel] => ref gains[(bin * HeadResponses.Ears + ear) * channels + channel];

    /// <summary>What both ears hear in a diffuse field, whose channels are incoherent with the power 1/(2n+1) each (SN3D).</summary>
    public EarCovariance DiffuseCovariance(int bin)
    {
        double left = 0, right = 0;
        var cross = Complex.Zero;
        for (var channel = 0; channel < channels; channel++)
        {
            var power = 1.0 / (2 * SphericalHarmonics.OrderOf(channel) + 1);
            var (l, r) = (this[bin, 0, channel], this[bin, 1, channel]);
            left += power * (l.Real * l.Real + l.Imaginary * l.Imaginary);
            right += power * (r.Real * r.Real + r.Imaginary * r.Imaginary);
            cross += power * l * Complex.Conjugate(r);
        }
        return new EarCovariance(left, right, cross);
    }

    public void Mix(int bin, EarMix mix)
    {
        for (var channel = 0; channel < channels; channel++)
            (this[bin, 0, channel], this[bin, 1, channel]) = mix.Apply(this[bin, 0, channel], this[bin, 1, channel]);
    }

    /// <summary>Makes the right ear the mirror image of the left one: channels odd in y change their sign between the ears.</summary>
    public void MakeSymmetric(int bin)
    {
        for (var channel = 0; channel < channels; channel++)
        {
            var sign = IsOddInY(channel) ? -1 : 1;
            var mean = (this[bin, 0, channel] + sign * this[bin, 1, channel]) / 2;
            (this[bin, 0, channel], this[bin, 1, channel]) = (mean, sign * mean);
        }
    }

    // ACN = n² + n + m, and the harmonics with m below 0 are those with sin |m|φ.
    private static bool IsOddInY(int acn)
    {
        var n = SphericalHarmonics.OrderOf(acn);
        return acn - n * n - n < 0;
    }
}
