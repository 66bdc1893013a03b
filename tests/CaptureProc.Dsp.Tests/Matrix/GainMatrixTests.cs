using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Matrix;

public sealed class GainMatrixContract : ProcessorContract
{
    // Here a fresh object is one whose gains have just been sent on their way.
    protected override IPlanarProcessor Create()
    {
        var matrix = new GainMatrix(4, 4, MaxBlockFrames);
        matrix.GlideTo([1, 0, 0, 0.5f, 0, -1, 0, 0, 0.25f, 0, 1, 0, 0, 0, 0, 2], 0);
        return matrix;
    }
}

public sealed class GainMatrixTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(64)]
    [InlineData(1000)]
    public void AGlideIsAStraightLineWhereverBlocksEnd(int blockFrames)
    {
        var matrix = new GainMatrix(1, 1, 1000);
        matrix.GlideTo([1], 0);
        var ones = new float[1000];
        Array.Fill(ones, 1);
        matrix.Process((float[][])[ones[..10]], (float[][])[new float[10]]);
        matrix.GlideTo([-3], 400);
        var output = new float[1000];
        foreach (var (start, frames) in new Cutter(blockFrames).Cut(1000))
            matrix.Process(new ReadOnlyPlanarSpan([ones], start, frames), new PlanarSpan([output], start, frames));
        for (var n = 0; n < 1000; n++)
            Assert.Equal(n < 400 ? 1 - 4 * (n + 1) / 400.0 : -3, output[n], 1e-6);
    }

    [Fact]
    public void AGlideThatIsOvertakenGoesOnFromWhereItIs()
    {
        var matrix = new GainMatrix(1, 1, 100);
        var ones = new float[100];
        Array.Fill(ones, 1);
        var output = new float[100];
        matrix.GlideTo([1], 200);
        matrix.Process((float[][])[ones], (float[][])[output]);
        matrix.GlideTo([0], 100);
        matrix.Process((float[][])[ones], (float[][])[output]);
        Assert.Equal(0.5 * 0.99, output[0], 1e-6);
        Assert.Equal(0, output[99], 1e-6);
    }

    [Fact]
    public void OutputsAreTheGainsTimesTheInputs()
    {
        var matrix = new GainMatrix(3, 2, 50);
        float[] gains = [1, 2, -0.5f, 0, 0.25f, 4];
        matrix.GlideTo(gains, 0);
        var input = Signals.Noise(2, 50, seed: 9);
        var output = Signals.Silence(3, 50);
        matrix.Process(input, output);
        for (var o = 0; o < 3; o++)
            for (var n = 0; n < 50; n++)
                Assert.Equal(gains[2 * o] * (double)input[0][n] + gains[2 * o + 1] * (double)input[1][n], output[o][n], 1e-6);
    }
}
