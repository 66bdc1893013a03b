using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Dsp.Tests.Arrays;

public class AirTests
{
    [Theory] // ISO 9613-1, equation A.5
    [InlineData(0, 331.286)]
    [InlineData(10, 337.296)]
    [InlineData(20, 343.200)]
    [InlineData(30, 349.005)]
    public void SpeedOfSoundEqualsTheStandard(double temperatureC, double expectedMps) =>
        Assert.Equal(expectedMps, Air.SpeedOfSoundMps(temperatureC), 6e-4);

    [Theory]
    [InlineData(-273)]
    [InlineData(double.NaN)]
    [InlineData(100)]
    public void TemperaturesNobodyRecordsInAreRefused(double temperatureC) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Air.SpeedOfSoundMps(temperatureC));
}
