using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Analysis.Placement;

/// <summary>Reads a recording as the array's field followed by one channel a player.</summary>
/// <remarks>
/// Thread: one at a time. Memory: one block. Shape: W, Y, Z, X, then the players in the order of the input. The field is late by its
/// filter's latency, the players are not: whoever compares them knows that. Blocks have to follow one another.
/// </remarks>
internal sealed class RehearsalReader
{
    private readonly IFrameSource source;
    private readonly PlacementInput input;
    private readonly BlockMatrixConvolver encoder;
    private readonly BlockMatrixConvolver?[] own;
    private readonly float[]?[] planar;
    private readonly float[][] output;
    private readonly float[][] converted = new float[4][];

    public RehearsalReader(IFrameSource source, PlacementInput input)
    {
        (this.source, this.input) = (source, input);
        encoder = new BlockMatrixConvolver(input.Field);
        own = [.. input.Players.Select(p => p.Own is null ? null : new BlockMatrixConvolver(p.Own, MaxFrames))];
        planar = new float[source.ChannelCount][];
        foreach (var channel in input.Channels.Concat(input.Players.SelectMany(p => p.Channels)))
            planar[channel] ??= new float[MaxFrames];
        output = [.. Enumerable.Range(0, 4 + input.Players.Count).Select(_ => new float[MaxFrames])];
        for (var c = 0; c < converted.Length; c++)
            converted[c] = new float[MaxFrames];
    }

    public int MaxFrames => encoder.MaxBlockFrames;

    /// <summary>The next block; the arrays are used again for the one after it.</summary>
    public float[][] Read(long firstFrame, int frames)
    {
        source.Read(firstFrame, planar, frames);
        var capsules = input.Channels.Select(c => planar[c]!).ToArray();
        encoder.Process(new ReadOnlyPlanarSpan(capsules, 0, frames), new PlanarSpan(output.AsSpan(0, 4), 0, frames));
        for (var i = 0; i < own.Length; i++)
            ReadPlayer(i, frames);
        return output;
    }

    private void ReadPlayer(int index, int frames)
    {
        var player = input.Players[index];
        var target = output[4 + index].AsSpan(0, frames);
        if (own[index] is { } convolver)
        {
            var capsules = player.Channels.Select(c => planar[c]!).ToArray();
            convolver.Process(new ReadOnlyPlanarSpan(capsules, 0, frames), new PlanarSpan(converted, 0, frames));
            converted[0].AsSpan(0, frames).CopyTo(target);
            return;
        }
        target.Clear();
        for (var i = 0; i < player.Channels.Count; i++)
        {
            var (samples, gain) = (planar[player.Channels[i]]!, (float)player.Gains[i]);
            for (var n = 0; n < target.Length; n++)
                target[n] += gain * samples[n];
        }
    }
}
