using System.Numerics;
using System.Security.Cryptography;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Design.Binaural;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Sofa.Tests;

/// <summary>The set that is shipped is the published one, and the decoder that is shipped was made of it.</summary>
/// <remarks>
/// Figures of this class without another source: read from the file of Debian's libmysofa1 1.3.1 with h5py, level and lag computed with
/// numpy (lag as the maximum of the cross-correlation at 16 times the rate).
/// </remarks>
public sealed class DefaultSetTests
{
    [Fact]
    public void FileIsThePublishedOne()
    {
        Assert.Equal("2768AC841213A7AE11D1EA7FD0F25A69B39216102DC5DD913EA6BA0F0DC57E28", Convert.ToHexString(SHA256.HashData(File.ReadAllBytes(DefaultSet.Path))));
    }

    [Fact]
    public void SetHasTheDirectionsAndLengthsThatArePublished()
    {
        var head = DefaultSet.Head;
        Assert.Equal(710, head.Directions.Count);
        Assert.Equal(512, head.TapCount);
        Assert.Equal(44100, head.SampleRateHz);
        Assert.Equal("MIT, KEMAR, normal pinna", head.Name);
        (double Elevation, int Count)[] rings =
        [
            (-40, 56), (-30, 60), (-20, 72), (-10, 72), (0, 72), (10, 72), (20, 72), (30, 60), (40, 56), (50, 45), (60, 36), (70, 24), (80, 12), (90, 1),
        ];
        foreach (var (elevation, count) in rings)
            Assert.Equal(count, head.Directions.Count(d => Math.Abs(d.ElevationDeg - elevation) < 0.5));
    }

    [Theory]
    [InlineData(0, 260, 0, 0, 53, 53)]
    [InlineData(30, 266, 8.449, -255.1, 48, 59)]
    [InlineData(90, 278, 11.787, -722.8, 37, 68)]
    [InlineData(180, 296, 0, 0, 48, 48)]
    [InlineData(270, 314, -11.787, 722.8, 68, 37)]
    public void LevelAndLagAreThoseOfTheFile(double azimuthDeg, int index, double levelDb, double lagMicroseconds, int leftPeak, int rightPeak)
    {
        var head = DefaultSet.Head;
        Assert.Equal(index, DefaultSet.IndexOf(azimuthDeg, 0));
        var (left, right) = (head.Taps(index, 0).ToArray(), head.Taps(index, 1).ToArray());
        Assert.Equal(levelDb, 10 * Math.Log10(Energy(left) / Energy(right)), 0.001);
        Assert.Equal(lagMicroseconds, LagMicroseconds(left, right), 0.1);
        Assert.Equal(leftPeak, PeakOf(left));
        Assert.Equal(rightPeak, PeakOf(right));
    }

    [Fact]
    public void EveryResponseIsTheOneThatLibmysofaReads()
    {
        using var other = new LibMySofa(DefaultSet.Path, 44100);
        Assert.Equal(DefaultSet.Head.TapCount, other.TapCount);
        for (var i = 0; i < DefaultSet.Head.Directions.Count; i++)
        {
            // Its left ear is receiver 0 as well, and its axes are SOFA's: x front, y left, z up.
            var (left, right) = other.Responses(DefaultSet.Head.Directions[i].ToUnitVector(), distanceM: 1.4);
            Assert.True(DefaultSet.Head.Taps(i, 0).SequenceEqual(left), $"left, {DefaultSet.Head.Directions[i]}");
            Assert.True(DefaultSet.Head.Taps(i, 1).SequenceEqual(right), $"right, {DefaultSet.Head.Directions[i]}");
        }
    }

    [Fact]
    public void DecoderOfTheLibraryIsTheOneDesignedFromThisSet()
    {
        var fresh = BinauralDesign.Design(DefaultSet.Head);
        // The set is called after those who measured it; the head that is carried, by what it is.
        Assert.Equal("measured mannequin", DefaultHead.Decoder.Name);
        Assert.Equal(fresh.SampleRateHz, DefaultHead.Decoder.SampleRateHz);
        for (var order = 1; order <= 3; order++)
        {
            var (expected, shipped) = (fresh.Measured(order), DefaultHead.Decoder.Measured(order));
            Assert.Equal(expected.TapCount, shipped.TapCount);
            Assert.Equal(expected.LatencyFrames, shipped.LatencyFrames);
            for (var ear = 0; ear < 2; ear++)
                for (var channel = 0; channel < expected.Inputs; channel++)
                    for (var tap = 0; tap < expected.TapCount; tap++)
                        // -80 dB: sums in another order, on a processor with other vectors, and ten rounds of iteration.
                        Assert.Equal(expected.Taps(ear, channel)[tap], shipped.Taps(ear, channel)[tap], 1e-4f);
        }
    }

    private static double Energy(float[] x) => x.Sum(v => (double)v * v);

    private static int PeakOf(float[] x)
    {
        var peak = 0;
        for (var n = 1; n < x.Length; n++)
            if (Math.Abs(x[n]) > Math.Abs(x[peak]))
                peak = n;
        return peak;
    }

    // Cross-correlation as a sum of cosines over the cross spectrum, evaluated at sixteenths of a sample.
    private static double LagMicroseconds(float[] left, float[] right)
    {
        const int Size = 1024;
        var cross = new Complex[Size / 2];
        for (var bin = 0; bin < cross.Length; bin++)
        {
            var (l, r) = (Complex.Zero, Complex.Zero);
            for (var n = 0; n < left.Length; n++)
            {
                var turn = Complex.FromPolarCoordinates(1, -2 * Math.PI * bin * n / Size);
                (l, r) = (l + left[n] * turn, r + right[n] * turn);
            }
            cross[bin] = l * Complex.Conjugate(r);
        }
        var (best, bestSum) = (0, double.NegativeInfinity);
        for (var sixteenth = -800; sixteenth <= 800; sixteenth++)
        {
            var sum = 0.0;
            for (var bin = 0; bin < cross.Length; bin++)
                sum += (bin == 0 ? 0.5 : 1) * (cross[bin] * Complex.FromPolarCoordinates(1, 2 * Math.PI * bin * sixteenth / 16.0 / Size)).Real;
            if (sum > bestSum)
                (best, bestSum) = (sixteenth, sum);
        }
        return best / 16.0 / 44100 * 1e6;
    }
}
