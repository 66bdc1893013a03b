using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation;
using static CaptureProc.Analysis.Tests.Placement.SyntheticField;

namespace CaptureProc.Analysis.Tests.Placement;

public class RehearsalMeasurementTests
{
    private static readonly Vector3D Player = new Direction(25, -8).ToUnitVector();

    [Theory]
    [InlineData(-6)]
    [InlineData(0)]
    [InlineData(6)]
    public void AKnownMixtureReadsItsRatioThroughACleanSpot(double ratioDb)
    {
        // White noise from one direction in a diffuse field; the spot has the same noise 40 samples earlier and twice as loud.
        var (direct, room) = (new SeededRandom(1), new SeededRandom(2));
        const int lag = 40;
        var spot = AddPlaneWave(Silent(12), Player, 0.1, direct)[0];
        var channels = AddDiffuse(Silent(12), 0.1 * Math.Pow(10, -ratioDb / 20), room).Append(spot.Select(s => 2 * s).ToArray()).ToArray();
        for (var n = lag; n < spot.Length; n++)
        {
            channels[0][n] += spot[n - lag];
            channels[1][n] += (float)(Player.Y * spot[n - lag]);
            channels[2][n] += (float)(Player.Z * spot[n - lag]);
            channels[3][n] += (float)(Player.X * spot[n - lag]);
        }
        var input = Plain() with { Players = [new PlayerInput("oboe", [4], [1], lag, 0.5, Player)] };
        var result = Hear(channels, input);

        Assert.True(result.IsThroughSpots);
        // 12 s of noise settle the powers of the whole range to 0.05 dB; the gain is learnt to 1 %.
        Assert.Equal(ratioDb, result.DirectToReverberantDb!.Value, 0.15);
        Assert.All(result.Bands, b => Assert.Equal(1 / (1 + Math.Pow(10, -ratioDb / 10)), b.DirectShare!.Value, 0.02));
    }

    [Fact]
    public void TheMusicCorrectsAGainThatTheSlateHadWrong()
    {
        var chance = new SeededRandom(3);
        var field = AddPlaneWave(Silent(12), Player, 0.1, chance);
        var spot = field[0].ToArray();
        AddDiffuse(field, 0.1, chance);
        // 1.5 dB too loud; left as it is it would read +1.5 dB and a rest that is too large.
        var input = Plain() with { Players = [new PlayerInput("oboe", [4], [1], 0, Math.Pow(10, 1.5 / 20), Player)] };

        Assert.Equal(0, Hear([.. field, spot], input).DirectToReverberantDb!.Value, 0.25);
    }

    [Fact]
    public void LevelIsOnTheScaleWhereAFullScaleSineReadsZero()
    {
        var field = Silent(6);
        for (var n = 0; n < field[0].Length; n++)
            field[0][n] = field[3][n] = (float)(0.1 * Math.Sin(2 * Math.PI * 997 * n / SampleRateHz));

        Assert.Equal(-20, Hear(field, Plain()).LevelDbfs, 0.01);
    }

    [Fact]
    public void SilenceAndASnatchOfMusicAreRefused()
    {
        Assert.Contains("silent", Refusal(Silent(6)), StringComparison.Ordinal);
        Assert.Contains("at least 5 s", Refusal(AddPlaneWave(Silent(3), Player, 0.1, new SeededRandom(4))), StringComparison.Ordinal);
    }

    private static string Refusal(float[][] field) => Assert.Throws<UnusableInputException>(() => Hear(field, Plain())).Message;
}
