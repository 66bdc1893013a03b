using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Analysis.Tests.Placement;

public sealed class PlacementTests
{
    [Theory]
    // The textbook's 0.057·√(Q·V/T), f_s = 2000·√(T/V) and the ratio for an omni at 4 m (Bies, Kuttruff, read via phonometry).
    [InlineData(200, 0.5, 1.140, 1.975, 100, -10.90)]
    [InlineData(2000, 1.2, 2.327, 4.031, 49, -4.71)]
    [InlineData(12000, 2.0, 4.415, 7.647, 26, 0.86)]
    public void RoomsHaveTheCriticalDistanceOfTheTextbook(
        double volumeM3, double seconds, double omniM, double cardioidM, double schroederHz, double omniDbAt4M)
    {
        var room = new ReverberantRoom(volumeM3, seconds, 343);
        // 0.057 is √(24 ln10/(16π·343)) = 0.056615 rounded up by 0.68 %, or 0.06 dB.
        const double rounding = 0.056615 / 0.057;
        Assert.Equal(omniM * rounding, room.CriticalDistanceM(FirstOrderPattern.Omni), 0.001);
        Assert.Equal(cardioidM * rounding, room.CriticalDistanceM(FirstOrderPattern.Cardioid), 0.001);
        Assert.Equal(schroederHz, room.SchroederFrequencyHz, 0.5);
        Assert.Equal(omniDbAt4M + 20 * Math.Log10(rounding), room.DirectToReverberantDb(FirstOrderPattern.Omni, 4), 0.006);
    }

    [Theory]
    // Q = 1/(α² + (1−α)²/3), the mean of the squared pattern over the sphere in closed form; 10 lg Q, √Q and 20 lg|2α − 1| follow.
    // Handbooks print the same, rounded, for omni, cardioid, super- and hypercardioid and figure-eight. For the subcardioid the one that
    // we know of prints about 2.5 dB and 1.3 (from memory), which no pattern of 0.7 has: here stands the closed form.
    [InlineData(1, 1, 0, 1, 0)]
    [InlineData(0, 3, 4.771, 1.732, 0)]
    [InlineData(0.7, 1.9231, 2.840, 1.387, -8.0)]
    [InlineData(0.5, 3, 4.771, 1.732, double.NegativeInfinity)]
    [InlineData(0.36602540378, 3.7321, 5.719, 1.932, -11.4)]
    [InlineData(0.25, 4, 6.021, 2, -6.0)]
    public void PatternsHaveTheDirectivityOfTheClosedForm(double alpha, double q, double indexDb, double distanceFactor, double rearDb)
    {
        var pattern = new FirstOrderPattern(alpha);
        Assert.Equal(q, pattern.Directivity, 0.0001);
        // The definition itself, summed: the mean over the sphere of a pattern about its axis is ½∫s²(x)dx.
        const int Slices = 20000;
        var mean = Enumerable.Range(0, Slices).Average(i => Math.Pow(alpha + (1 - alpha) * (-1 + (2 * i + 1.0) / Slices), 2));
        Assert.Equal(1 / mean, pattern.Directivity, 1e-6);
        Assert.Equal(indexDb, pattern.DirectivityIndexDb, 0.001);
        Assert.Equal(distanceFactor, pattern.DistanceFactor, 0.001);
        Assert.Equal(rearDb, 20 * Math.Log10(Math.Abs(pattern.At(180))), 0.06);
    }

    [Theory]
    // |1 + (1−α)/(jkr)|, figure-eight and cardioid, c = 343 (Eargle, eq. 4.6, evaluated).
    [InlineData(0.1, 50, 20.80, 14.89)]
    [InlineData(0.1, 400, 4.57, 1.66)]
    [InlineData(0.3, 100, 6.35, 2.62)]
    [InlineData(0.3, 200, 2.62, 0.82)]
    [InlineData(1, 50, 3.41, 1.13)]
    [InlineData(3, 50, 0.54, 0.14)]
    public void NearSourcesRaiseTheLowEnd(double distanceM, double frequencyHz, double eightDb, double cardioidDb)
    {
        Assert.Equal(eightDb, Proximity.RiseDb(FirstOrderPattern.FigureEight, distanceM, frequencyHz, 343), 0.006);
        Assert.Equal(cardioidDb, Proximity.RiseDb(FirstOrderPattern.Cardioid, distanceM, frequencyHz, 343), 0.006);
    }

    [Fact]
    public void TheTextbookGradientExampleComesOut()
    {
        // Eargle, eq. 4.6: r = 0.054 m, 100 Hz, c = 344 → 20.16 dB.
        Assert.Equal(20.16, Proximity.RiseDb(FirstOrderPattern.FigureEight, 0.054, 100, 344), 0.005);
    }

    [Fact]
    public void TheFrequencyOfARiseIsWhereTheRiseIs()
    {
        var hz = Proximity.FrequencyOfRiseHz(FirstOrderPattern.Cardioid, 0.4, 3, 343.2);
        Assert.Equal(3, Proximity.RiseDb(FirstOrderPattern.Cardioid, 0.4, hz, 343.2), 9);
        Assert.Equal(0, Proximity.FrequencyOfRiseHz(FirstOrderPattern.Omni, 0.4, 3, 343.2));
    }

    [Theory]
    // ISO 9613-1: samples a metre at 48 kHz for 0, 10, 20 and 30 °C (read via pyfar, evaluated).
    [InlineData(0, 144.890)]
    [InlineData(10, 142.308)]
    [InlineData(20, 139.860)]
    [InlineData(30, 137.534)]
    public void AMetreIsAsManySamplesAsTheAirSays(double temperatureC, double samplesPerMetre)
    {
        var c = Air.SpeedOfSoundMps(temperatureC);
        Assert.Equal(2.6 * samplesPerMetre, ExpectedDelay.Seconds(3.1, 0.5, c) * 48000, 0.002);
        Assert.Equal(0.5, ExpectedDelay.SourceToSpotM(3.1, ExpectedDelay.Seconds(3.1, 0.5, c), c), 12);
    }

    [Theory]
    [InlineData(0, 1)]
    [InlineData(100, 0)]
    [InlineData(double.NaN, 1)]
    public void ARoomWithoutVolumeOrReverberationIsRefused(double volumeM3, double seconds) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new ReverberantRoom(volumeM3, seconds, 343));

    [Fact]
    public void APatternOutsideTheFirstOrderIsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new FirstOrderPattern(1.2));
}
