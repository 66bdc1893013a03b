using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Design;

public class EncoderDesignTests
{
    private const double SpeedOfSoundMps = 343.2;
    private const int W = 0, X = 3;

    private static readonly double[] ErrorGridHz = [50, 70, 100, 200, 500, 1000, 1500, 2000, 3000, 4000, 5000, 6300, 8000];
    private static readonly double[] LevelGridHz =
        [40, 50, 63, 80, 100, 125, 160, 200, 400, 800, 1600, 3150, 5000, 7000, 9000, 11000, 13000, 15000, 16000, 17000, 17500, 18000];

    // Limits and the plain matrix's error as stated for the requirement: r = 14.7 mm, cardioids, c = 343.2; three digits.
    [Theory]
    [InlineData(100, 0.000, 0.014, 0.024)]
    [InlineData(500, 0.001, 0.069, 0.114)]
    [InlineData(1000, 0.004, 0.136, 0.224)]
    [InlineData(2000, 0.017, 0.257, 0.446)]
    [InlineData(3000, 0.039, 0.357, 0.656)]
    [InlineData(5000, 0.118, 0.504, 1.038)]
    [InlineData(8000, 0.366, 0.667, 1.469)]
    public void TheOracleAndThePlainMatrixAgreeWithTheStatedLimits(double frequencyHz, double limitW, double limitX, double plainX)
    {
        var array = Tetrahedron.Array(14.7, 0.5);
        var oracle = new EncoderOracle(array, frequencyHz, SpeedOfSoundMps);
        Assert.Equal(limitW, oracle.Limit(W), 6e-4);
        Assert.Equal(limitX, oracle.Limit(X), 6e-4);
        var plain = EncoderDesign.Design(array, 48000, SpeedOfSoundMps, Correction.None);
        // A bare sum of cardioids is early by r/3c: arg b0 = kr·(1−α)/(3α) where kr is small.
        var early = array.RadiusM / 3 / SpeedOfSoundMps;
        // The stated figures take out the best-fitting delay; this one is its low-frequency limit, hence 1 %.
        Assert.Equal(plainX, oracle.Evaluate(plain, X, frequencyHz, 48000, early).Error, 0.0015 + 0.01 * plainX);
    }

    [Theory]
    [MemberData(nameof(ArraysAndRates))]
    public void FullStaysWithinThreePercentOfTheLimitAndAQuarterDecibelOfDiffuseLevel(double radiusMm, double pattern, double sampleRateHz) =>
        AssertWithin(Correction.Full, radiusMm, pattern, sampleRateHz, factor: 1.03, offset: 0.005, levelDb: 0.25);

    [Theory]
    [MemberData(nameof(ArraysAndRates))]
    public void LiveStaysWithinFifteenPercentOfTheLimitAndOneDecibelOfDiffuseLevel(double radiusMm, double pattern, double sampleRateHz)
    {
        Assert.InRange(EncoderDesign.LatencyFrames(Correction.Live, sampleRateHz) * 48000 / sampleRateHz, 0, 64.5);
        AssertWithin(Correction.Live, radiusMm, pattern, sampleRateHz, factor: 1.15, offset: 0.005, levelDb: 1);
    }

    public static TheoryData<double, double, double> ArraysAndRates()
    {
        var data = new TheoryData<double, double, double>();
        foreach (var (radiusMm, pattern) in new[] { (14.7, 0.5), (14.7, 0.7), (25, 0.5) })
            foreach (var rate in new double[] { 44100, 48000, 88200, 96000, 176400, 192000 })
                data.Add(radiusMm, pattern, rate);
        return data;
    }

    [Fact]
    public void AnyOrderOfCapsulesOnTheChannelsGivesTheSameFieldFromTheSameSound()
    {
        var plain = Tetrahedron.Array(14.7, 0.5);
        int[] order = [2, 0, 3, 1];
        var shuffled = plain with { Capsules = [.. order.Select(i => plain.Capsules[i])] };
        var a = EncoderDesign.Design(plain, 48000, SpeedOfSoundMps, Correction.Full);
        var b = EncoderDesign.Design(shuffled, 48000, SpeedOfSoundMps, Correction.Full);
        for (var output = 0; output < 4; output++)
            for (var input = 0; input < 4; input++)
                for (var n = 0; n < a.TapCount; n++)
                    Assert.Equal(a.Taps(output, order[input])[n], b.Taps(output, input)[n], 1e-6f);
    }

    [Theory]
    [InlineData(Correction.None)]
    [InlineData(Correction.Live)]
    [InlineData(Correction.Full)]
    public void AHangingArrayGivesTheRoomsFrame(Correction correction)
    {
        var hanging = Tetrahedron.Array(14.7, 0.5) with { Mount = Rotation3D.FromYawPitchRollDeg(35, 10, 180) };
        var filter = EncoderDesign.Design(hanging, 48000, SpeedOfSoundMps, correction);
        var oracle = new EncoderOracle(hanging, 100, SpeedOfSoundMps);
        for (var channel = 0; channel < 4; channel++)
            Assert.InRange(oracle.Evaluate(filter, channel, 100, 48000).Error, 0, 0.035); // the plain matrix: kr at 100 Hz, and what aliases
    }

    [Fact]
    public void AnIrregularArrayReachesItsOwnLimit()
    {
        var array = new CapsuleArray([new(40, 30), new(-50, -40), new(130, -25), new(-140, 45)], 0.018, 0.6, Rotation3D.Identity);
        var filter = EncoderDesign.Design(array, 48000, SpeedOfSoundMps, Correction.Full);
        foreach (var frequencyHz in ErrorGridHz)
        {
            var oracle = new EncoderOracle(array, frequencyHz, SpeedOfSoundMps);
            for (var channel = 0; channel < 4; channel++)
                Assert.InRange(oracle.Evaluate(filter, channel, frequencyHz, 48000).Error, 0, 1.03 * oracle.Limit(channel) + 0.005);
        }
    }

    [Theory]
    [InlineData("one plane", 0.5, 0, 0, 90, 0, 180, 0, -90, 0)]
    [InlineData("same direction", 0.5, 45, 35, 45.2, 35, 135, -35, -135, 35)]
    [InlineData("badly", 0.5, 0, 4, 90, -4, 180, 4, -90, -4)]
    [InlineData("too little pressure", 0.02, 45, 35, -45, -35, 135, -35, -135, 35)]
    [InlineData("too little direction", 0.97, 45, 35, -45, -35, 135, -35, -135, 35)]
    public void DirectionsThatCannotResolveTheFieldAreRefusedWithTheReason(string reason, double pattern, double az1, double el1, double az2, double el2, double az3, double el3, double az4, double el4)
    {
        var array = new CapsuleArray([new(az1, el1), new(az2, el2), new(az3, el3), new(az4, el4)], 0.0147, pattern, Rotation3D.Identity);
        var refusal = Assert.Throws<ArgumentException>(() => EncoderDesign.Design(array, 48000, SpeedOfSoundMps, Correction.Full));
        Assert.Contains(reason, refusal.Message, StringComparison.Ordinal);
    }

    private static void AssertWithin(
        Correction correction, double radiusMm, double pattern, double sampleRateHz, double factor, double offset, double levelDb)
    {
        var array = Tetrahedron.Array(radiusMm, pattern);
        var filter = EncoderDesign.Design(array, sampleRateHz, SpeedOfSoundMps, correction);
        foreach (var frequencyHz in ErrorGridHz)
        {
            var oracle = new EncoderOracle(array, frequencyHz, SpeedOfSoundMps);
            for (var channel = 0; channel < 4; channel++)
            {
                var error = oracle.Evaluate(filter, channel, frequencyHz, sampleRateHz).Error;
                var bound = factor * oracle.Limit(channel) + offset;
                Assert.True(error <= bound, $"{correction} channel {channel} at {frequencyHz} Hz: error {error:0.0000}, bound {bound:0.0000}");
            }
        }
        foreach (var frequencyHz in LevelGridHz)
        {
            var oracle = new EncoderOracle(array, frequencyHz, SpeedOfSoundMps);
            for (var channel = 0; channel < 4; channel++)
            {
                var level = oracle.Evaluate(filter, channel, frequencyHz, sampleRateHz).DiffuseDb;
                Assert.True(Math.Abs(level) <= levelDb, $"{correction} channel {channel} at {frequencyHz} Hz: diffuse level {level:+0.000;-0.000} dB");
            }
        }
    }
}
