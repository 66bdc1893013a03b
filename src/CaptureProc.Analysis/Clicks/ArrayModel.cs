using System.Numerics;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>An array as the analysis needs it: its conversion to W, and its response to one source.</summary>
/// <remarks>Thread: one instance a thread (it owns a transform). Everything happens at one working rate.</remarks>
public sealed class ArrayModel
{
    private const double LeastW = 0.5;

    private readonly Complex[][] encoder;
    private readonly Complex[] response;

    public ArrayModel(CapsuleArray array, double sampleRateHz, double speedOfSoundMps)
    {
        (SampleRateHz, SpeedOfSoundMps) = (sampleRateHz, speedOfSoundMps);
        Manifold = new PointSourceManifold(array, speedOfSoundMps);
        Search = new DirectionSearch(Manifold, sampleRateHz);
        var filter = EncoderDesign.Design(array, sampleRateHz, speedOfSoundMps, Correction.Full);
        encoder = new Complex[Manifold.CapsuleCount][];
        var taps = new double[Excerpts.Size];
        for (var i = 0; i < encoder.Length; i++)
        {
            // The filter's own latency goes to negative time, round the end of the block: the excerpt keeps its time.
            Array.Clear(taps);
            var tap = filter.Taps(0, i);
            for (var n = 0; n < tap.Length; n++)
                taps[(n - filter.LatencyFrames + taps.Length) % taps.Length] = tap[n];
            encoder[i] = Whole.Forward(taps);
        }
        response = new Complex[Whole.BinCount];
    }

    public double SampleRateHz { get; }

    public double SpeedOfSoundMps { get; }

    public PointSourceManifold Manifold { get; }

    public DirectionSearch Search { get; }

    public Transform Whole { get; } = new(Excerpts.Size);

    public Transform ClickTransform { get; } = new(SpotClick.Size);

    /// <summary>The conversion of one capsule to W at a frequency of the excerpts' transform.</summary>
    public Complex Encoder(int capsule, int bin) => encoder[capsule][bin];

    /// <summary>The converted W of an excerpt: the reference that all delays are about.</summary>
    public Complex[] ToW(IReadOnlyList<Complex[]> capsules)
    {
        var sum = new Complex[Whole.BinCount];
        for (var i = 0; i < encoder.Length; i++)
            for (var k = 0; k < sum.Length; k++)
                sum[k] += encoder[i][k] * capsules[i][k];
        return sum;
    }

    /// <summary>The converted W without what the array's own shape does to it at one direction: what delays are fitted to.</summary>
    /// <remarks>
    /// W is in phase with the acoustic centre on average over all directions, and off by up to a tenth of a sample at one of them. With
    /// ideal capsules this is the pressure at the centre; with real ones it is W as recorded, with their responses in it.
    /// </remarks>
    public double[] ToReference(ArrayExcerpt excerpt, Vector3D direction, double distanceM)
    {
        var own = new Complex[Whole.BinCount];
        for (var i = 0; i < encoder.Length; i++)
        {
            Manifold.Fill(i, direction, distanceM, Whole.Omega(1) * SampleRateHz, response);
            for (var k = 0; k < own.Length; k++)
                own[k] += encoder[i][k] * response[k];
        }
        for (var k = 0; k < own.Length; k++)
        {
            // Where W all but vanishes there is nothing to put right.
            var size = own[k].Magnitude;
            own[k] = excerpt.WSpectrum[k] * Complex.Conjugate(own[k]) / (Math.Max(size, LeastW) * Math.Max(size, 1e-12));
        }
        return Whole.Inverse(own);
    }

    /// <summary>The pressure at the acoustic centre that a source at a known place has made, by least squares over the capsules.</summary>
    /// <remarks>
    /// It has W's time, free of W's deviation at this one direction, and a better ratio to the capsules' noise (by 1.2 dB for
    /// cardioids), because capsules that face the source count more.
    /// </remarks>
    public double[] ToBeam(IReadOnlyList<Complex[]> capsules, Vector3D direction, double distanceM)
    {
        var sum = new Complex[Whole.BinCount];
        var power = new double[Whole.BinCount];
        for (var i = 0; i < capsules.Count; i++)
        {
            Manifold.Fill(i, direction, distanceM, Whole.Omega(1) * SampleRateHz, response);
            for (var k = 0; k < sum.Length; k++)
            {
                sum[k] += Complex.Conjugate(response[k]) * capsules[i][k];
                power[k] += response[k].Real * response[k].Real + response[k].Imaginary * response[k].Imaginary;
            }
        }
        for (var k = 0; k < sum.Length; k++)
            sum[k] /= power[k];
        return Whole.Inverse(sum);
    }
}
