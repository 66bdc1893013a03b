using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Sofa.Tests;

/// <summary>Time and level differences of the ears, decoded from a field, beside those of the measured set.</summary>
/// <remarks>
/// Time: slope of the phase difference from 200 to 600 Hz, where ears live by it. Level: octave bands.
/// A first-order field carries a head only up to some 600 Hz, and its bars say so: lateral sources come out a tenth too near the
/// middle in time. The figures themselves go to the test's output.
/// </remarks>
public sealed class DecodedCuesTests(ITestOutputHelper output)
{
    private const double SampleRateHz = 48000;

    private static readonly double[] azimuthsDeg = [0, 30, 60, 90, 120, 150, 180];
    private static readonly double[] octavesHz = [500, 1000, 2000, 4000, 8000];

    [Theory]
    [InlineData(1, 100)]
    [InlineData(2, 12)]
    [InlineData(3, 12)]
    public void TimeDifferencesAreThoseOfTheMeasuredSet(int order, double toleranceMicroseconds)
    {
        var filter = DefaultHead.Decoder.Filter(order, SampleRateHz);
        foreach (var azimuthDeg in azimuthsDeg)
        {
            var measured = TimeDifferenceMicroseconds((ear, hz) => Measured(ear, azimuthDeg, hz));
            var decoded = TimeDifferenceMicroseconds((ear, hz) => Decoded(filter, ear, azimuthDeg, hz));
            output.WriteLine($"order {order}, azimuth {azimuthDeg}: measured {measured:0} µs, decoded {decoded:0} µs");
            Assert.InRange(decoded - measured, -toleranceMicroseconds, toleranceMicroseconds);
        }
    }

    [Theory]
    [InlineData(1, 2.5, 8.5)]
    [InlineData(2, 2.5, 5.0)]
    [InlineData(3, 1.3, 4.2)]
    public void LevelDifferencesComeCloseToThoseOfTheMeasuredSet(int order, double upTo4KHzDb, double at8KHzDb)
    {
        var filter = DefaultHead.Decoder.Filter(order, SampleRateHz);
        var squares = new double[octavesHz.Length];
        foreach (var azimuthDeg in azimuthsDeg)
        {
            var line = $"order {order}, azimuth {azimuthDeg}: decoded (measured)";
            for (var band = 0; band < octavesHz.Length; band++)
            {
                var measured = LevelDifferenceDb(octavesHz[band], (ear, hz) => Measured(ear, azimuthDeg, hz));
                var decoded = LevelDifferenceDb(octavesHz[band], (ear, hz) => Decoded(filter, ear, azimuthDeg, hz));
                line += $"  {octavesHz[band]} Hz {decoded:0.0} ({measured:0.0})";
                squares[band] += Math.Pow(decoded - measured, 2) / azimuthsDeg.Length;
            }
            output.WriteLine(line);
        }
        output.WriteLine($"order {order}: rms error {string.Join("  ", squares.Select(s => $"{Math.Sqrt(s):0.0} dB"))}");
        Assert.InRange(Math.Sqrt(squares[..^1].Average()), 0, upTo4KHzDb);
        Assert.InRange(Math.Sqrt(squares[^1]), 0, at8KHzDb);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void SourcesInFrontAndBehindStandInTheMiddle(int order)
    {
        // The set is symmetric, and so has its decoder to be, at the session's rate too.
        var filter = DefaultHead.Decoder.Filter(order, SampleRateHz);
        Span<double> field = stackalloc double[filter.Inputs];
        foreach (var direction in new Direction[] { new(0, 0), new(180, 0), new(0, 50), new(180, -30), new(0, 90) })
        {
            SphericalHarmonics.Evaluate(direction, field);
            for (var tap = 0; tap < filter.TapCount; tap++)
            {
                var difference = 0.0;
                for (var channel = 0; channel < filter.Inputs; channel++)
                    difference += field[channel] * (filter.Taps(0, channel)[tap] - filter.Taps(1, channel)[tap]);
                Assert.Equal(0, difference, 1e-12);
            }
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void EachEarIsFlatInADiffuseFieldFromTheLowestNoteOn(int order)
    {
        var filter = DefaultHead.Decoder.Filter(order, SampleRateHz);
        var (lowestDb, highestDb) = (double.MaxValue, double.MinValue);
        for (var frequencyHz = 20.0; frequencyHz < 19500; frequencyHz *= 1.02)
        {
            var power = 0.0;
            for (var channel = 0; channel < filter.Inputs; channel++)
                power += Math.Pow(Transform(filter.Taps(0, channel), SampleRateHz, frequencyHz).Magnitude, 2) / (2 * (int)Math.Sqrt(channel) + 1);
            var levelDb = 10 * Math.Log10(power);
            (lowestDb, highestDb) = (Math.Min(lowestDb, levelDb), Math.Max(highestDb, levelDb));
        }
        output.WriteLine($"order {order}: {lowestDb:0.000} … {highestDb:0.000} dB");
        Assert.InRange(lowestDb, -0.2, 0);
        Assert.InRange(highestDb, 0, 0.2);
    }

    private static Complex Measured(int ear, double azimuthDeg, double frequencyHz) =>
        Transform(DefaultSet.Head.Taps(DefaultSet.IndexOf(azimuthDeg, 0), ear), DefaultSet.Head.SampleRateHz, frequencyHz);

    private static Complex Decoded(MatrixFilter filter, int ear, double azimuthDeg, double frequencyHz)
    {
        Span<double> field = stackalloc double[filter.Inputs];
        SphericalHarmonics.Evaluate(new Direction(azimuthDeg, 0), field);
        var response = new float[filter.TapCount];
        for (var channel = 0; channel < filter.Inputs; channel++)
            for (var tap = 0; tap < response.Length; tap++)
                response[tap] += (float)field[channel] * filter.Taps(ear, channel)[tap];
        return Transform(response, SampleRateHz, frequencyHz);
    }

    private static Complex Transform(ReadOnlySpan<float> taps, double sampleRateHz, double frequencyHz)
    {
        var sum = Complex.Zero;
        for (var n = 0; n < taps.Length; n++)
            sum += taps[n] * Complex.FromPolarCoordinates(1, -2 * Math.PI * frequencyHz / sampleRateHz * n);
        return sum;
    }

    // Least-squares slope through zero of the unwrapped phase of left over right.
    private static double TimeDifferenceMicroseconds(Func<int, double, Complex> response)
    {
        var (slope, weight, before) = (0.0, 0.0, 0.0);
        for (var frequencyHz = 200.0; frequencyHz <= 600; frequencyHz += 20)
        {
            var phase = (response(0, frequencyHz) * Complex.Conjugate(response(1, frequencyHz))).Phase;
            phase += 2 * Math.PI * Math.Round((before - phase) / (2 * Math.PI));
            before = phase;
            slope += frequencyHz * phase;
            weight += frequencyHz * frequencyHz;
        }
        return slope / weight / (2 * Math.PI) * 1e6;
    }

    private static double LevelDifferenceDb(double octaveHz, Func<int, double, Complex> response)
    {
        var (left, right) = (0.0, 0.0);
        for (var frequencyHz = octaveHz / Math.Sqrt(2); frequencyHz < octaveHz * Math.Sqrt(2); frequencyHz *= 1.015)
        {
            // Points lie closer at low frequencies; the weight makes it a band of a white source.
            left += frequencyHz * Math.Pow(response(0, frequencyHz).Magnitude, 2);
            right += frequencyHz * Math.Pow(response(1, frequencyHz).Magnitude, 2);
        }
        return 10 * Math.Log10(left / right);
    }
}
