using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Delay;

/// <summary>Sums of sines, whose value at every time is a closed form.</summary>
public sealed class ResamplerTests
{
    private const int InputFrames = 6000;

    // The same filter as the delay's, so the same bound.
    private const double InterpolationTolerance = 2e-5;

    // Input frames for an output frame: 44.1 to 48 kHz, 48 to 96, 48 to 192, clocks off by 20 and by −300 parts per million.
    public static TheoryData<double, double> Interpolating => new()
    {
        { 44100.0 / 48000, 0 }, { 0.5, 0 }, { 0.25, -3.3 }, { 1 + 20e-6, 0.41 }, { 1 - 300e-6, 100.7 }, { 1, 0.5 }, { 1.0094, 0 },
    };

    [Theory]
    [MemberData(nameof(Interpolating))]
    public void InterpolatedSinesAreTheSinesAtTheTimesBetween(double step, double start)
    {
        var tone = new BandLimitedTone(seed: 1);
        var output = Run(new Resampler(1, step, 256, start), [tone.Sample(InputFrames)], 256)[0];
        CheckSines(tone, output, step, start, settleFrames: 40);
    }

    [Theory]
    [InlineData(2.0)]
    [InlineData(48000.0 / 44100)]
    [InlineData(192.0 / 44.1)]
    public void DecimatedSinesBelowNineTenthsOfTheNewBandPass(double step)
    {
        var tone = new BandLimitedTone(seed: 2, highest: 0.9 / step);
        var output = Run(new Resampler(1, step, 256), [tone.Sample(InputFrames)], 256)[0];
        CheckSines(tone, output, step, start: 0, settleFrames: (int)(70 * step));
    }

    [Theory]
    [InlineData(2.0)]
    [InlineData(48000.0 / 44100)]
    [InlineData(192.0 / 44.1)]
    public void NothingAboveTheNewBandComesThrough(double step)
    {
        for (var place = 0; place <= 20; place++)
        {
            var omega = Math.PI / step + place / 20.0 * (Math.PI - Math.PI / step);
            var sine = new float[InputFrames];
            for (var n = 0; n < InputFrames; n++)
                sine[n] = (float)Math.Sin(omega * n);
            var output = Run(new Resampler(1, step, 512), [sine], 512)[0];
            // Without the ends, where the sine begins and is cut off and so has energy everywhere.
            foreach (var x in output.AsSpan(100, output.Length - 200))
                Assert.InRange(x, -1.8e-5f, 1.8e-5f);
        }
    }

    // Ten minutes at 48 kHz with a clock 20 ppm off: after 28.8 million frames the time is still exact.
    [Fact]
    public void TimeDoesNotDriftInTenMinutes()
    {
        const double Step = 1 + 20e-6;
        const int Block = 4096;
        const long TakeFrames = 28_800_000;
        var tone = new BandLimitedTone(seed: 3);
        var resampler = new Resampler(1, Step, Block);
        float[][] silence = [new float[Block]];
        float[][] scrap = [new float[Block]];
        long framesIn = 0, framesOut = 0;
        for (; framesIn < TakeFrames; framesIn += Block)
            framesOut += resampler.Process(silence, scrap);

        var input = new float[4000];
        for (var n = 0; n < input.Length; n++)
            input[n] = (float)tone.At(n);
        var count = resampler.Process(new ReadOnlyPlanarSpan([input], 0, input.Length), scrap);
        for (var n = 200; n < count; n++)
        {
            // In decimal arithmetic, which has digits to spare here.
            var time = (double)((framesOut + n) * 1.00002m - framesIn);
            Assert.Equal(tone.At(time), scrap[0][n], InterpolationTolerance);
        }
    }

    [Fact]
    public void StepOfOneFromAWholeStartReturnsTheVerySamples()
    {
        var input = Signals.Noise(2, 1000, seed: 4);
        var output = Run(new Resampler(2, 1, 100, startFrames: 7), input, 100);
        for (var channel = 0; channel < 2; channel++)
            Assert.Equal([.. input[channel].AsSpan(7)], output[channel]);
    }

    [Fact]
    public void OutputIsIndependentOfBlockSize()
    {
        var input = Signals.Noise(2, InputFrames, seed: 5);
        var whole = Run(new Resampler(2, 0.91875, InputFrames), input, InputFrames);
        foreach (var block in (int[])[1, 7, 8, 9, 64, 1000])
            Signals.Close(whole, Run(new Resampler(2, 0.91875, 1000), input, block), 0, $"blocks of {block}");
    }

    [Fact]
    public void ResetEqualsNew()
    {
        var used = new Resampler(2, 1.3, 100, 0.2);
        Run(used, Signals.Noise(2, 1234, seed: 6), 100);
        used.Reset();
        var input = Signals.Noise(2, 1000, seed: 7);
        Signals.Close(Run(new Resampler(2, 1.3, 100, 0.2), input, 100), Run(used, input, 100), 0, "after Reset");
    }

    [Fact]
    public void NothingIsAllocatedFromTheFirstCallOn()
    {
        var resampler = new Resampler(2, 0.91875, 100);
        var (input, output) = (Signals.Noise(2, 100, seed: 8), Signals.Silence(2, 120));
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var call = 0; call < 100; call++)
            resampler.Process(input, output);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Fact]
    public void BlockWithAnUnusableSampleCountsAsSilence()
    {
        var input = Signals.Noise(1, 1000, seed: 9);
        Array.Clear(input[0], 500, 100);
        var expected = Run(new Resampler(1, 0.7, 100), input, 100);
        input[0][512] = float.NaN;
        Signals.Close(expected, Run(new Resampler(1, 0.7, 100), input, 100), 0, "with a NaN");
    }

    [Theory]
    [InlineData(44100, 48000, 512, 558)]
    [InlineData(48000, 44100, 480, 441)]
    [InlineData(96000, 48000, 1, 1)]
    [InlineData(48000, 48000, 100, 100)]
    [InlineData(48000, 192000, 0, 0)]
    public void WholeSignalKeepsItsDuration(double fromHz, double toHz, int frames, int expected) =>
        Assert.Equal(expected, WholeSignalResampling.Resample(new float[frames], fromHz, toHz).Length);

    [Fact]
    public void WholeSignalIsTheSignalAtTheOtherRatesTimes()
    {
        var tone = new BandLimitedTone(seed: 10);
        var output = WholeSignalResampling.Resample(tone.Sample(2000), 44100, 48000);
        for (var n = 60; n < output.Length - 60; n++)
            Assert.Equal(tone.At(n * 44100.0 / 48000), output[n], InterpolationTolerance);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    [InlineData(100)]
    public void StepsThatCannotBeTakenAreRefused(double step) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new Resampler(1, step, 64));

    private static void CheckSines(BandLimitedTone tone, float[] output, double step, double start, int settleFrames)
    {
        var compared = 0;
        for (var n = 0; n < output.Length; n++)
        {
            var time = start + n * step;
            if (time < settleFrames || time > InputFrames - settleFrames)
                continue;
            Assert.Equal(tone.At(time), output[n], InterpolationTolerance);
            compared++;
        }

        Assert.True(compared > 0.9 * (InputFrames - start) / step - 100, $"{compared} frames were compared.");
    }

    private static float[][] Run(Resampler resampler, float[][] input, int block)
    {
        var frames = (int)resampler.OutputFrames(input[0].Length);
        // Silence at the end brings out what is still in the filter.
        var padding = resampler.HalfLengthFrames + 10;
        var output = Signals.Silence(input.Length, frames + padding * 5);
        var padded = Array.ConvertAll(input, channel => (float[])[.. channel, .. new float[padding]]);
        var written = 0;
        foreach (var (start, length) in new Cutter(block).Cut(padded[0].Length))
        {
            var due = resampler.NextOutputFrames(length);
            Assert.Equal(due, resampler.Process(new ReadOnlyPlanarSpan(padded, start, length), new PlanarSpan(output, written, due)));
            written += due;
        }

        Assert.True(written >= frames);
        return Array.ConvertAll(output, channel => channel[..frames]);
    }
}
