using CaptureProc.Analysis.RoomDecay;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.RoomDecay;

/// <summary>ISO 3382-1 on noise that dies away as exp(−3 ln10·t/T): every figure is known in closed form.</summary>
public class DecayCurveTests
{
    private const double RateHz = 4000;
    private const int Start = 400;
    private const int Draws = 24;

    [Theory]
    [InlineData(0.3)]
    [InlineData(1)]
    [InlineData(2.5)]
    public void TimesAreThoseOfTheDecay(double seconds)
    {
        var curves = Curves(seconds, backgroundDb: -50);

        // Means of 24 draws; a single one scatters by 3 % (T30), 4 % (T20) and 7 % (EDT) at 0.3 s, less at longer times.
        Assert.Equal(seconds, curves.Average(c => c.T30Seconds!.Value), 0.015 * seconds);
        Assert.Equal(seconds, curves.Average(c => c.T20Seconds!.Value), 0.02 * seconds);
        Assert.Equal(seconds, curves.Average(c => c.EdtSeconds!.Value), 0.04 * seconds);
        Assert.Equal(50, curves.Average(c => c.RangeDb), 0.8);
    }

    [Theory]
    [InlineData(1, 3.053)]
    [InlineData(2, -1.321)]
    public void ClarityIsThatOfTheDecay(double seconds, double c80Db) =>
        // 10·lg(10^(6·0.08/T) − 1), ISO 3382-1 A.10 evaluated for an exponential decay. One draw scatters by 0.5 dB.
        Assert.Equal(c80Db, Curves(seconds, -50).Average(c => c.C80Db!.Value), 0.3);

    [Fact]
    public void ARangeThatTheBackgroundCutsShortHasNoFigure()
    {
        // The background has to lie 10 dB below the range: 45 dB for T30, 35 dB for T20, 20 dB for EDT.
        var (forty, thirty, fifteen) = (Curves(1, -40), Curves(1, -30), Curves(1, -15));

        Assert.All(forty, c => Assert.Null(c.T30Seconds));
        Assert.Equal(1, forty.Average(c => c.T20Seconds!.Value), 0.02);
        Assert.All(thirty, c => Assert.Null(c.T20Seconds));
        Assert.Equal(1, thirty.Average(c => c.EdtSeconds!.Value), 0.03);
        Assert.All(fifteen, c => Assert.Null(c?.EdtSeconds));
    }

    [Fact]
    public void SomebodyWhoSpeaksUpEndsTheDecay()
    {
        // From 0.5 s on, 30 dB down, there is noise at -12 dB: the figures are those of the half second before.
        var curve = DecayCurve.Of(Decay(1, -60, new SeededRandom(5), speaksAtSeconds: 0.5), Start, 0, 1e-6, RateHz);

        Assert.Equal(1, curve!.T20Seconds!.Value, 0.08);
    }

    [Fact]
    public void BackgroundAloneIsNoDecay()
    {
        var chance = new SeededRandom(6);
        var noise = Enumerable.Range(0, 8000).Select(_ => Square(chance.Gaussian())).ToArray();

        Assert.Null(DecayCurve.Of(noise, Start, 0, 1, RateHz));
    }

    private static List<DecayCurve> Curves(double seconds, double backgroundDb) =>
        [.. Enumerable.Range(1, Draws).Select(seed => DecayCurve.Of(Decay(seconds, backgroundDb, new SeededRandom((ulong)seed)), Start, 0, Math.Pow(10, backgroundDb / 10), RateHz)!)];

    private static double[] Decay(double seconds, double backgroundDb, SeededRandom chance, double speaksAtSeconds = 1e9)
    {
        var background = Math.Pow(10, backgroundDb / 20);
        var squares = new double[(int)(RateHz * (1.6 * seconds + 0.4))];
        for (var n = 0; n < squares.Length; n++)
        {
            var t = (n - Start) / RateHz;
            var room = t < 0 ? 0 : Math.Exp(-3 * Math.Log(10) * t / seconds);
            var voice = t > speaksAtSeconds ? 0.25 : 0;
            squares[n] = Square(room * chance.Gaussian() + (background + voice) * chance.Gaussian());
        }
        return squares;
    }

    private static double Square(double x) => x * x;
}
