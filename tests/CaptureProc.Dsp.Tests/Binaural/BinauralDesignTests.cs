using System.Numerics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design.Binaural;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Binaural;

/// <summary>The decoder of a head that is known in closed form; see <see cref="SphericalHead"/>.</summary>
public sealed class BinauralDesignTests
{
    private static readonly Lazy<BinauralDecoder> sphere = new(() => BinauralDesign.Design(SphericalHead.Measure()));

    public static TheoryData<int> Orders => [1, 2, 3];

    [Theory]
    [MemberData(nameof(Orders))]
    public void EachEarIsFlatInADiffuseField(int order)
    {
        var filter = sphere.Value.Measured(order);
        for (var frequencyHz = 30.0; frequencyHz < 19500; frequencyHz *= 1.03)
        {
            var (left, right, _) = DecodedSource.Diffuse(filter, SphericalHead.SampleRateHz, frequencyHz);
            // A fifth of a dB is below what anybody hears of a broad ripple; the rest comes from cutting the filters short.
            Assert.InRange(10 * Math.Log10(left), -0.2, 0.2);
            Assert.InRange(10 * Math.Log10(right), -0.2, 0.2);
        }
    }

    [Theory]
    [MemberData(nameof(Orders))]
    public void EarsAreAsCoherentInADiffuseFieldAsThoseOfTheHead(int order)
    {
        var filter = sphere.Value.Measured(order);
        for (var frequencyHz = 60.0; frequencyHz < 16000; frequencyHz *= 1.1)
        {
            var coherence = DecodedSource.Diffuse(filter, SphericalHead.SampleRateHz, frequencyHz).Coherence;
            // 500 directions sample the fine pattern of the treble only so well.
            var tolerance = frequencyHz < 4000 ? 0.025 : 0.07;
            Assert.InRange(coherence.Real - SphericalHead.DiffuseCoherence(frequencyHz), -tolerance, tolerance);
            Assert.InRange(coherence.Imaginary, -1e-3, 1e-3);
        }
    }

    [Theory]
    [InlineData(1, 260, 0.06)]
    [InlineData(2, 700, 0.06)]
    [InlineData(3, 1000, 0.06)]
    public void TimeDifferenceIsThatOfTheSphere(int order, double upToHz, double tolerance)
    {
        var filter = sphere.Value.Measured(order);
        foreach (var azimuthDeg in new[] { 20.0, 45, 90, 135 })
        {
            var direction = new Direction(azimuthDeg, 0);
            for (var frequencyHz = 100.0; frequencyHz <= upToHz; frequencyHz *= 1.2)
            {
                var expected = PhaseDifference(frequencyHz, ear => Exact(ear, direction, frequencyHz));
                var decoded = PhaseDifference(frequencyHz, ear => DecodedSource.Response(filter, SphericalHead.SampleRateHz, ear, direction, frequencyHz));
                Assert.InRange(decoded / expected, 1 - tolerance, 1 + tolerance);
            }
        }
    }

    [Fact]
    public void LowNotesArriveWithTheTimeDifferenceOfTheLongWaveLimit()
    {
        // Long waves: H → 1 + j·(3/2)·ka·cos γ, so the difference is (3/2)·(a/c)·(cos γ of one ear − that of the other)
        // (Kuhn, Model for the interaural time differences in the azimuthal plane, J. Acoust. Soc. Am. 62(1), 1977).
        var direction = new Direction(90, 0);
        var u = direction.ToUnitVector();
        var expected = 1.5 * SphericalHead.RadiusM / SphericalHead.SpeedOfSoundMps
            * (Vector3D.Dot(u, SphericalHead.LeftEar) - Vector3D.Dot(u, SphericalHead.RightEar));
        for (var order = 1; order <= 3; order++)
        {
            var filter = sphere.Value.Measured(order);
            var decoded = PhaseDifference(80, ear => DecodedSource.Response(filter, SphericalHead.SampleRateHz, ear, direction, 80));
            Assert.InRange(decoded / expected, 0.95, 1.05);
        }
    }

    [Theory]
    [InlineData(1, 1.8, 3.3)]
    [InlineData(2, 0.8, 2.4)]
    [InlineData(3, 0.4, 1.0)]
    public void LevelsComeCloserWithEveryOrder(int order, double below2KHzDb, double above2KHzDb)
    {
        var filter = sphere.Value.Measured(order);
        Assert.InRange(RmsLevelErrorDb(filter, 200, 2000), 0, below2KHzDb);
        Assert.InRange(RmsLevelErrorDb(filter, 2000, 10000), 0, above2KHzDb);
    }

    [Fact]
    public void SourcesOnTheMiddleAreHeardEqualByBothEars()
    {
        for (var order = 1; order <= 3; order++)
        {
            var filter = sphere.Value.Measured(order);
            for (var channel = 0; channel < filter.Inputs; channel++)
            {
                // Channels whose harmonic is odd in y, m < 0, change sign in the mirror; all others are equal, to the last bit.
                var n = (int)Math.Sqrt(channel);
                var sign = channel - n * n - n < 0 ? -1 : 1;
                for (var tap = 0; tap < filter.TapCount; tap++)
                    Assert.Equal(filter.Taps(0, channel)[tap], sign * filter.Taps(1, channel)[tap]);
            }
        }
    }

    [Fact]
    public void EquipmentThatAllResponsesShareLeavesNoTrace()
    {
        // A loudspeaker with its low end, a resonance, a falling treble and a delay of its own.
        Complex Equipment(double frequencyHz)
        {
            var s = new Complex(0, frequencyHz);
            var lowEnd = s * s / (s * s + 1.2 * 60 * s + 60 * 60);
            var peak = (s * s + 4.0 * 3000 * s + 9e6) / (s * s + 0.8 * 3000 * s + 9e6);
            return lowEnd * peak / (1 + s / 9000) * Complex.FromPolarCoordinates(0.2, -2 * Math.PI * frequencyHz * 37.4 / SphericalHead.SampleRateHz);
        }

        var spoilt = new BinauralDesign(SphericalHead.Measure(Equipment)).Design(1);
        var ideal = sphere.Value.Measured(1);
        for (var frequencyHz = 100.0; frequencyHz < 16000; frequencyHz *= 1.1)
            for (var channel = 0; channel < 4; channel++)
                AssertClose(DecodedSource.Gain(ideal, SphericalHead.SampleRateHz, 0, channel, frequencyHz),
                    DecodedSource.Gain(spoilt, SphericalHead.SampleRateHz, 0, channel, frequencyHz), 0.02);
    }

    [Fact]
    public void DelaysBesideTheTapsCountAsDelaysInThem()
    {
        var beside = new BinauralDesign(SphericalHead.Measure(delaySamples: 60)).Design(1);
        var inside = sphere.Value.Measured(1);
        // -66 dB: the cut end of the measurement lies 60 samples later.
        for (var channel = 0; channel < 4; channel++)
            for (var tap = 0; tap < inside.TapCount; tap++)
                Assert.Equal(inside.Taps(0, channel)[tap], beside.Taps(0, channel)[tap], 5e-4f);
    }

    [Fact]
    public void SetMeasuredOnTheHorizonAloneIsRefused()
    {
        var flat = SphericalHead.Measure(highestElevationDeg: 4);
        var refusal = Assert.Throws<InvalidDataException>(() => BinauralDesign.Design(flat));
        Assert.Contains("measured all round", refusal.Message, StringComparison.Ordinal);
    }

    private static Complex Exact(int ear, Direction direction, double frequencyHz) =>
        SphericalHead.Response(frequencyHz, Vector3D.Dot(direction.ToUnitVector(), ear == 0 ? SphericalHead.LeftEar : SphericalHead.RightEar));

    // Seconds by which the left ear is ahead.
    private static double PhaseDifference(double frequencyHz, Func<int, Complex> response) =>
        (response(0) * Complex.Conjugate(response(1))).Phase / (2 * Math.PI * frequencyHz);

    // Of octave bands, over even directions, with the head's diffuse level taken out of the closed form as the decoder does.
    private static double RmsLevelErrorDb(MatrixFilter filter, double fromHz, double toHz)
    {
        (Vector3D Unit, double Weight)[] directions = [.. Sphere.Quadrature(6, 12)];
        var (sum, bands) = (0.0, 0);
        for (var bandHz = fromHz; bandHz < toHz; bandHz *= 2, bands++)
        {
            for (var ear = 0; ear < 2; ear++)
            {
                var (decoded, exact) = (new double[directions.Length], new double[directions.Length]);
                for (var frequencyHz = bandHz; frequencyHz < 2 * bandHz; frequencyHz *= 1.12)
                {
                    var gains = DecodedSource.Gains(filter, SphericalHead.SampleRateHz, ear, frequencyHz);
                    var diffuse = DiffusePower(frequencyHz);
                    for (var i = 0; i < directions.Length; i++)
                    {
                        var direction = Direction.Of(directions[i].Unit);
                        decoded[i] += Math.Pow(DecodedSource.Response(gains, direction).Magnitude, 2);
                        exact[i] += Math.Pow(Exact(ear, direction, frequencyHz).Magnitude, 2) / diffuse;
                    }
                }
                for (var i = 0; i < directions.Length; i++)
                    sum += directions[i].Weight * Math.Pow(10 * Math.Log10(decoded[i] / exact[i]), 2) / 2;
            }
        }
        return Math.Sqrt(sum / bands);
    }

    private static double DiffusePower(double frequencyHz)
    {
        var power = 0.0;
        foreach (var (unit, weight) in Sphere.Quadrature(24, 1))
            power += weight * Math.Pow(SphericalHead.Response(frequencyHz, unit.Z).Magnitude, 2);
        return power;
    }

    private static void AssertClose(Complex expected, Complex actual, double tolerance) =>
        Assert.True((expected - actual).Magnitude <= tolerance, $"expected {expected}, got {actual}");
}
