using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Vst3.TestPlugin;

namespace CaptureProc.Vst3.Tests.Effects;

/// <remarks>
/// The gain effect multiplies a constant 1 with the parameter's line, so its output is the line. Gain runs 0…2, so a plain
/// gain is twice the normalized value.
/// </remarks>
public sealed class ParameterLinesTests
{
    private const double SampleRateHz = 48000;
    private const int GlideFrames = 240;
    private const uint GainId = 10, ModeId = 11, BypassId = 12;

    [Fact]
    public void ALineBetweenPointsIsFollowedToTheFrame()
    {
        using var effect = Started(512);
        effect.AddPoint(GainId, 0, 0.5);
        effect.AddPoint(GainId, 100, 0.75);
        effect.AddPoint(GainId, 512, 0.25);
        var output = Play(effect, 512);
        for (var i = 0; i < 512; i++)
            Assert.Equal(2 * (i < 100 ? 0.5 + 0.25 * i / 100 : 0.75 - 0.5 * (i - 100) / 412), output[i], 1e-6);
        Assert.All(Play(effect, 512), sample => Assert.Equal(0.5, sample, 1e-7));
    }

    [Fact]
    public void ALineDrawnOverSeveralBlocksHasNoSteps()
    {
        // As Ardour draws it: a point at 0 and one at the block's length, each block.
        using var effect = Started(64);
        for (var block = 0; block < 8; block++)
        {
            effect.AddPoint(GainId, 0, block / 8.0);
            effect.AddPoint(GainId, 64, (block + 1) / 8.0);
            var output = Play(effect, 64);
            for (var i = 0; i < 64; i++)
                Assert.Equal(2 * (block + i / 64.0) / 8, output[i], 1e-6);
        }
    }

    [Fact]
    public void AJumpWhileSoundIsRunningGlidesForFiveMilliseconds()
    {
        using var effect = Started(512);
        Play(effect, 512);
        effect.AddPoint(GainId, 0, 1);
        var output = Play(effect, 512);
        for (var i = 0; i < 512; i++)
            Assert.Equal(2 - Math.Max(0, 1 - i / (double)GlideFrames), output[i], 1e-5);
    }

    [Fact]
    public void AGlideGoesOnOverShortBlocksAsOverALongOne()
    {
        float[] Run(int blockFrames)
        {
            using var effect = Started(512);
            Play(effect, 512);
            var output = new List<float>();
            effect.AddPoint(GainId, 0, 1);
            while (output.Count < 504)
                output.AddRange(Play(effect, blockFrames));
            return [.. output];
        }

        var whole = Run(504);
        foreach (var length in new[] { 1, 7, 63, 126 })
            Assert.Equal(whole, Run(length), (a, b) => Math.Abs(a - b) < 1e-6);
    }

    [Fact]
    public void TwoPointsOnOneFrameAreAJumpToTheLastAndItGlidesToo()
    {
        using var effect = Started(512);
        Play(effect, 512);
        effect.AddPoint(GainId, 100, 0.5);
        effect.AddPoint(GainId, 100, 0.25);
        effect.AddPoint(GainId, 100, 1);
        var output = Play(effect, 512);
        for (var i = 0; i < 512; i++)
            Assert.Equal(i < 100 ? 1 : 2 - Math.Max(0, 1 - (i - 100) / (double)GlideFrames), output[i], 1e-5);
    }

    [Fact]
    public void NothingGlidesBeforeTheFirstSound()
    {
        using var effect = Started(64);
        effect.AddPoint(GainId, 0, 1);
        Assert.All(Play(effect, 64), sample => Assert.Equal(2f, sample));
    }

    [Fact]
    public void APointFarOutsideTheBlockOrNotANumberDoesNoHarm()
    {
        using var effect = Started(64);
        Play(effect, 64);
        effect.AddPoint(GainId, -5, 0.5);
        effect.AddPoint(GainId, 1000, double.NaN);
        effect.AddPoint(GainId, 2000, 7);
        var output = Play(effect, 64);
        for (var i = 0; i < 64; i++)
            Assert.Equal(1 + i / 64.0, output[i], 1e-5);
    }

    [Fact]
    public void AnUnknownIdIsSkipped()
    {
        using var effect = Started(64);
        effect.AddPoint(999, 0, 1);
        effect.AddPoint(GainId, 0, 0.25);
        Assert.All(Play(effect, 64), sample => Assert.Equal(0.5f, sample));
    }

    [Fact]
    public void AStateThatArrivesWhileSoundIsRunningGlides()
    {
        using var other = Started(64);
        other.AddPoint(GainId, 0, 1);
        Play(other, 64);
        using var effect = Started(512);
        Play(effect, 512);
        effect.SetState(other.GetState());
        var output = Play(effect, 512);
        Assert.Equal(1, output[0], 1e-5);
        Assert.Equal(1.5, output[GlideFrames / 2], 1e-5);
        Assert.Equal(2f, output[GlideFrames]);
    }

    [Fact]
    public void ALineThatMovesOnDuringAGlideIsMetWithoutOvershoot()
    {
        // From 1 to 0 at once and back to 1 over 64 frames: what is left of the jump fades into the line as it moves.
        using var effect = Started(512);
        Play(effect, 512);
        effect.AddPoint(GainId, 0, 0);
        effect.AddPoint(GainId, 64, 0.5);
        var output = Play(effect, 512);
        for (var i = 0; i < 512; i++)
        {
            var line = Math.Min(1, i / 64.0);
            Assert.Equal(line + (1 - line) * Math.Max(0, 1 - i / (double)GlideFrames), output[i], 1e-5);
        }
    }

    [Fact]
    public void NoValueEverLiesOutsideTheRange()
    {
        // A million points at random: jumps, ramps, both within a glide, in blocks of all lengths, empty ones too.
        using var effect = Started(512);
        var random = new Random(71);
        var (least, most) = (float.MaxValue, float.MinValue);
        for (var points = 0; points < 1_000_000;)
        {
            var frames = random.Next(513);
            var frame = 0;
            for (var left = random.Next(2000); left > 0; left--, points++)
            {
                frame = Math.Min(frames, frame + (random.Next(3) == 0 ? 0 : random.Next(20)));
                effect.AddPoint(GainId, frame, random.Next(4) switch { 0 => 0, 1 => 1, _ => random.NextDouble() });
            }
            foreach (var value in Play(effect, frames))
                (least, most) = (Math.Min(least, value), Math.Max(most, value));
        }
        Assert.InRange(least, 0f, 0.01f);
        Assert.InRange(most, 1.99f, 2f);
    }

    [Fact]
    public void AJumpOnTheLastFrameOfABlockGlidesInTheNext()
    {
        using var effect = Started(512);
        Play(effect, 512);
        effect.AddPoint(GainId, 512, 0.5);
        effect.AddPoint(GainId, 512, 1);
        Assert.All(Play(effect, 512), sample => Assert.Equal(1f, sample));
        var output = Play(effect, 512);
        for (var i = 0; i < 512; i++)
            Assert.Equal(2 - Math.Max(0, 1 - i / (double)GlideFrames), output[i], 1e-5);
    }

    [Fact]
    public void AStepIsTakenAtTheFrameOfItsPointAndNotBefore()
    {
        using var effect = Started(512);
        effect.AddPoint(ModeId, 100, 1);
        effect.AddPoint(ModeId, 101, 0);
        effect.AddPoint(BypassId, 300, 1);
        effect.AddPoint(ModeId, 512, 1);
        effect.AddPoint(GainId, 0, 0.25);
        var output = Play(effect, 512);
        for (var i = 0; i < 512; i++)
            Assert.Equal(i >= 300 ? 1 : i == 100 ? -0.5 : 0.5, output[i]);
        effect.AddPoint(BypassId, 0, 0);
        Assert.All(Play(effect, 512), sample => Assert.Equal(-0.5f, sample));
    }

    private static HostedEffect Started(int maxBlockFrames)
    {
        var effect = InProcess.Create(GainEffect.Class);
        effect.Start(SampleRateHz, maxBlockFrames, ProcessMode.Realtime);
        for (var channel = 0; channel < 2; channel++)
            effect.Input<float>(channel).Fill(1);
        return effect;
    }

    private static float[] Play(HostedEffect effect, int frames)
    {
        effect.Process(frames);
        return effect.Output<float>(1)[..frames].ToArray();
    }
}
