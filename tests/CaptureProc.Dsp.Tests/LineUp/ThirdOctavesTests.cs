using CaptureProc.Dsp.LineUp;

namespace CaptureProc.Dsp.Tests.LineUp;

public class ThirdOctavesTests
{
    // IEC 61260-1:2014, exact midband frequencies (read via phonometry and python-acoustics).
    private static readonly double[] ExactHz =
    [
        25.12, 31.62, 39.81, 50.12, 63.10, 79.43, 100, 125.89, 158.49, 199.53, 251.19, 316.23, 398.11, 501.19, 630.96, 794.33, 1000,
        1258.93, 1584.89, 1995.26, 2511.89, 3162.28, 3981.07, 5011.87, 6309.57, 7943.28, 10000, 12589.25, 15848.93, 19952.62,
    ];

    [Theory]
    [InlineData(44100, 29)]
    [InlineData(48000, 30)]
    [InlineData(88200, 30)]
    [InlineData(96000, 30)]
    [InlineData(192000, 30)]
    public void BandsAreThoseOfTheStandardAsFarAsTheRateCarries(int rateHz, int count)
    {
        var bands = new ThirdOctaves(rateHz);
        Assert.Equal(count, bands.Count);
        for (var band = 0; band < count; band++)
        {
            Assert.Equal(ExactHz[band], bands.CentreHz[band], 0.0005 * ExactHz[band]);
            // Relative bandwidth .230768 of the standard; a bin more or less at either end.
            Assert.Equal(0.230768 * ExactHz[band], bands.BinsOf(band) * bands.BinHz, bands.BinHz);
        }
    }

    [Theory]
    [InlineData(44100)]
    [InlineData(96000)]
    public void WeightsTurnAPinkSpectrumIntoAWhiteOneOfTheSameLevel(int rateHz)
    {
        var bands = new ThirdOctaves(rateHz);
        // A frame of pink noise of mean square 1 from 20 Hz to 20 kHz under a sine window: |X_k|² = N²/4·(bin/f)/ln 1000 on average.
        var sum = 0.0;
        for (var k = bands.FirstBin[0]; k < bands.FirstBin[^1]; k++)
        {
            var power = bands.FrameLength * (double)bands.FrameLength / 4 / k / Math.Log(1000);
            Assert.Equal(1.0 / bands.BinCount, bands.WhiteningWeight[k] * power, 1e-9);
            sum += bands.WhiteningWeight[k] * power;
        }
        Assert.Equal(1, sum, 1e-6);
    }
}
