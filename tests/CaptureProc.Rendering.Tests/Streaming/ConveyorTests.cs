using CaptureProc.Rendering.Streaming;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Streaming;

public sealed class ConveyorTests : IDisposable
{
    private readonly Takes takes = new();

    public void Dispose() => takes.Dispose();

    [Theory]
    [InlineData(1, 0)]
    [InlineData(100, 7)]
    [InlineData(65536, 1)]
    [InlineData(200_003, 65536)]
    public void EveryFrameArrivesOnceAndTheLatencyIsTakenOut(int frames, int latencyFrames)
    {
        var noise = Takes.Noise(3, frames, seed: frames);
        var (a, b) = Run(takes.Write("take.wav", noise), new Delayed([2, 0, 0], latencyFrames));

        // The first file takes two of the renderer's channels, the second the third; one input channel serves two of them.
        Assert.Equal([noise[2], noise[0]], a);
        Assert.Equal([noise[0]], b);
    }

    [Fact]
    public void FailureOfTheRendererIsThrownToTheCaller()
    {
        var take = takes.Write("take.wav", Takes.Noise(1, 500_000, seed: 1));

        Assert.Throws<InvalidTimeZoneException>(() => Run(take, new Delayed([0, 0, 0], 0) { FailsAt = 3 }));
    }

    private (float[][] A, float[][] B) Run(string take, IBlockRenderer renderer)
    {
        using var input = WavInput.Open(take);
        using var a = WavOutput.Create(takes.File("a.wav"), new WavOutputFormat(Takes.SampleRateHz, 2, SampleFormat.Float32), replace: false);
        using var b = WavOutput.Create(takes.File("b.wav"), new WavOutputFormat(Takes.SampleRateHz, 1, SampleFormat.Float32), replace: false);
        Conveyor.Run(input, renderer, [a, b]);
        a.Complete();
        b.Complete();
        return (Takes.Read(takes.File("a.wav")), Takes.Read(takes.File("b.wav")));
    }

    /// <summary>Passes channels on, late by its latency.</summary>
    private sealed class Delayed(int[] channels, int latencyFrames) : IBlockRenderer
    {
        private readonly Queue<float>[] late = [.. channels.Select(_ => new Queue<float>(new float[latencyFrames]))];
        private int blocks;

        public int FailsAt { get; init; } = int.MaxValue;

        public IReadOnlyList<int> InputChannels => channels;

        public int OutputChannelCount => channels.Length;

        public int MaxBlockFrames => 1000;

        public int LatencyFrames => latencyFrames;

        public void Render(float[][] input, float[][] output, int first, int frames)
        {
            if (++blocks == FailsAt)
                throw new InvalidTimeZoneException();
            for (var c = 0; c < channels.Length; c++)
                for (var n = first; n < first + frames; n++)
                {
                    late[c].Enqueue(input[c][n]);
                    output[c][n] = late[c].Dequeue();
                }
        }
    }
}
