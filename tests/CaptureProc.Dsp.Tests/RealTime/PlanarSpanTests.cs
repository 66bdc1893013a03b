using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.RealTime;

public sealed class PlanarSpanTests
{
    [Fact]
    public void AllThreeFormsShowTheSameSamples()
    {
        float[] left = [1, 2, 3, 4], right = [5, 6, 7, 8];
        CheckSlice(new PlanarSpan([left, right], 0, 4));
        CheckSlice(new PlanarSpan((float[])[.. left, -1, .. right], 2, 4, stride: 5));
        unsafe
        {
            fixed (float* l = left, r = right)
            {
                var channels = stackalloc float*[2] { l, r };
                CheckSlice(new PlanarSpan(channels, 2, 4));
            }
        }
    }

    [Fact]
    public void WritingThroughASliceReachesTheOwner()
    {
        float[][] channels = [[1, 2, 3, 4]];
        PlanarSpan block = channels;
        block.Slice(1, 3).Slice(1, 1)[0][0] = 9;
        block.Slice(3, 1).Clear();
        Assert.Equal([1, 2, 9, 0], channels[0]);
    }

    [Fact]
    public void PlacesOutsideTheBlockAreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => ((PlanarSpan)new float[][] { new float[4] })[1].Length);
        Assert.Throws<ArgumentOutOfRangeException>(() => ((PlanarSpan)new float[][] { new float[4] }).Slice(2, 3).Frames);
        Assert.Throws<ArgumentException>(() => new PlanarSpan([new float[4], new float[3]], 0, 4).Frames);
        Assert.Throws<ArgumentException>(() => new PlanarSpan(new float[7], 2, 4, stride: 4).Frames);
    }

    private static void CheckSlice(PlanarSpan block)
    {
        Assert.Equal((2, 4), (block.Channels, block.Frames));
        Assert.Equal([2, 3], block.Slice(1, 2)[0].ToArray());
        ReadOnlyPlanarSpan reading = block;
        Assert.Equal([6, 7], reading.Slice(1, 2)[1].ToArray());
    }
}
