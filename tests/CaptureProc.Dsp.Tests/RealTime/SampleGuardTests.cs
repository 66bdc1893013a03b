using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.RealTime;

public sealed class SampleGuardTests
{
    [Theory]
    [InlineData(float.NaN)]
    [InlineData(float.PositiveInfinity)]
    [InlineData(float.NegativeInfinity)]
    [InlineData(2e12f)]
    [InlineData(-2e12f)]
    public void UnusableSampleIsFoundAtEveryPlaceOfEveryLength(float bad)
    {
        foreach (var length in (int[])[1, 3, 4, 5, 7, 8, 9, 15, 16, 17, 33])
            for (var place = 0; place < length; place++)
            {
                var samples = Signals.Noise(1, length, seed: length)[0];
                Assert.True(SampleGuard.IsUsable(samples));
                samples[place] = bad;
                Assert.False(SampleGuard.IsUsable(samples), $"{bad} at {place} of {length}");
            }
    }

    [Fact]
    public void NothingAtAllIsUsable() => Assert.True(SampleGuard.IsUsable(ReadOnlySpan<float>.Empty));

    [Fact]
    public void LimitItselfAndEverythingBelowIsUsable() =>
        Assert.True(SampleGuard.IsUsable([SampleGuard.Limit, -SampleGuard.Limit, 0, -0f, float.Epsilon]));

    [Fact]
    public void CopyingFlushesWhatIsTooSmallAndKeepsTheRestToTheBit()
    {
        var source = Signals.Noise(1, 100, seed: 1)[0];
        for (var n = 0; n < 100; n += 3)
            source[n] = n % 2 == 0 ? float.Epsilon : -7e-31f;
        (source[1], source[97]) = (SampleGuard.Floor, -SampleGuard.Floor);
        var copy = new float[101];
        SampleGuard.CopyFlushed(source, copy);
        for (var n = 0; n < 100; n++)
            Assert.Equal(n % 3 == 0 ? 0f : source[n], copy[n]);
    }

    // 240 and 602 dB, which the documentation states.
    [Fact]
    public void LimitAndFloorAreTheStatedDecibels()
    {
        Assert.Equal(240.8, 20 * Math.Log10(SampleGuard.Limit), 0.05);
        Assert.Equal(-602.1, 20 * Math.Log10(SampleGuard.Floor), 0.05);
    }
}
