using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.Convolution;

public sealed class MixedFilterTests
{
    private const double Elevation = 35.264389682754654;

    private static readonly Direction[] Regular = [new(45, Elevation), new(-45, -Elevation), new(135, -Elevation), new(-135, Elevation)];

    [Theory]
    [InlineData(0, 0, 0, Correction.Full)]
    [InlineData(0, 0, 180, Correction.Live)]
    [InlineData(25, -10, 60, Correction.Full)]
    public void OfARegularTetrahedronOneFilterAChannelIsLeft(double yawDeg, double pitchDeg, double rollDeg, Correction correction)
    {
        var array = new CapsuleArray(Regular, 0.0147, 0.5, Rotation3D.FromYawPitchRollDeg(yawDeg, pitchDeg, rollDeg));
        var filter = EncoderDesign.Design(array, 48000, 343.2, correction);
        var behind = MixedFilter.Behind(filter, Mix(EncoderDesign.Design(array, 48000, 343.2, Correction.None)));
        Assert.True(MixedFilter.IsDiagonal(behind));
        Assert.False(MixedFilter.IsDiagonal(filter));
    }

    [Fact]
    public void OfAnotherArrayAllAreLeft()
    {
        var array = new CapsuleArray([new(45, 35), new(-45, -38), new(135, -35), new(-130, 33)], 0.0147, 0.5, Rotation3D.Identity);
        var filter = EncoderDesign.Design(array, 48000, 343.2, Correction.Full);
        Assert.False(MixedFilter.IsDiagonal(MixedFilter.Behind(filter, Mix(EncoderDesign.Design(array, 48000, 343.2, Correction.None)))));
    }

    [Theory]
    [InlineData(50)]
    [InlineData(257)]
    public void BehindItsMixingAFilterDoesWhatItDoesWithout(int tapCount)
    {
        var filter = PlainConvolution.RandomFilter(4, 4, tapCount, seed: 3);
        float[] mix = [0.5f, 0.5f, 0.5f, 0.5f, 0.5f, -0.5f, 0.6f, -0.4f, 0.5f, -0.5f, -0.5f, 0.5f, 0.7f, 0.5f, -0.5f, -0.5f];
        var input = Contract.Signals.Noise(4, 2000, 4);
        var mixed = new float[4][];
        for (var o = 0; o < 4; o++)
            mixed[o] = [.. Enumerable.Range(0, 2000).Select(n => (float)Enumerable.Range(0, 4).Sum(i => (double)mix[o * 4 + i] * input[i][n]))];
        var expected = Run(new SplitFilter(filter), input);
        foreach (var isSparse in new[] { false, true })
        {
            var actual = Run(new SplitFilter(MixedFilter.Behind(filter, mix), 0, isSparse), mixed);
            for (var c = 0; c < 4; c++)
                for (var n = 0; n < 2000; n++)
                    // Floats of some units, mixed and unmixed: a few of their rounding steps.
                    Assert.Equal(expected[c][n], actual[c][n], 2e-5);
        }
    }

    [Theory]
    [InlineData(80)]
    [InlineData(300)]
    public void ASparseFilterSoundsAsTheFullOne(int tapCount)
    {
        var filter = PlainConvolution.RandomFilter(4, 4, tapCount, seed: 5);
        for (var o = 0; o < 4; o++)
            for (var i = 0; i < 4; i++)
                if (o != i)
                    filter.Taps(o, i).Clear();
        var input = Contract.Signals.Noise(4, 1500, 6);
        var (full, sparse) = (Run(new SplitFilter(filter), input), Run(new SplitFilter(filter, 0, isSparse: true), input));
        for (var c = 0; c < 4; c++)
            for (var n = 0; n < 1500; n++)
                Assert.Equal(full[c][n], sparse[c][n], 1e-5);
    }

    [Fact]
    public void AMixingWithoutAnInverseIsRefused() =>
        Assert.Throws<ArgumentException>(() => MixedFilter.Behind(PlainConvolution.RandomFilter(4, 4, 5, seed: 1), new float[16]));

    private static float[] Mix(MatrixFilter gains) => [.. Enumerable.Range(0, 16).Select(i => gains.Taps(i / 4, i % 4)[0])];

    private static float[][] Run(SplitFilter filter, float[][] input)
    {
        var convolver = new SplitMatrixConvolver(filter, input[0].Length);
        var output = Enumerable.Range(0, 4).Select(_ => new float[input[0].Length]).ToArray();
        for (var start = 0; start < input[0].Length; start += 100)
            convolver.Process(new ReadOnlyPlanarSpan(input, start, 100), ((PlanarSpan)output).Slice(start, 100));
        return output;
    }
}
