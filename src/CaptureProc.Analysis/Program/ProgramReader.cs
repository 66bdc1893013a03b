using System.Numerics;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Program;

/// <summary>Reads blocks of a recording as spectra: one a spot, one a capsule of the array.</summary>
/// <remarks>
/// Thread: one at a time; channels are transformed in parallel. Blocks go through a Hann window. A spot that is a capsule array of
/// its own is converted to W bin by bin: its encoder is a few milliseconds long, the block some hundred.
/// </remarks>
internal sealed class ProgramReader : IDisposable
{
    private readonly IFrameSource source;
    private readonly SlateInput input;
    private readonly ArrayModel?[] spotArrays;
    private readonly int frames, blockSize;
    private readonly float[][] planar;
    private readonly double[] window;
    private readonly ThreadLocal<Transform> transforms;

    public ProgramReader(IFrameSource source, SlateInput input, Excerpts excerpts, ArrayModel?[] spotArrays, int blockSize)
    {
        (this.source, this.input, this.spotArrays, this.blockSize) = (source, input, spotArrays, blockSize);
        frames = blockSize * excerpts.Decimation;
        planar = new float[source.ChannelCount][];
        foreach (var channel in input.Spots.SelectMany(s => s.Set.Channels).Concat(input.ArraySet.Channels))
            planar[channel] = new float[frames];
        window = new double[frames];
        for (var n = 0; n < frames; n++)
            window[n] = 0.5 - 0.5 * Math.Cos(2 * Math.PI * n / frames);
        transforms = new ThreadLocal<Transform>(() => new Transform(frames));
    }

    public (IReadOnlyList<Complex[]> Spots, IReadOnlyList<Complex[]> Capsules) Read(long firstFrame)
    {
        source.Read(firstFrame, planar, frames);
        var spectra = new Complex[planar.Length][];
        Parallel.For(0, planar.Length, channel =>
        {
            if (planar[channel] is not { } samples)
                return;
            var windowed = new double[frames];
            for (var n = 0; n < frames; n++)
                windowed[n] = window[n] * samples[n];
            // Of a decimated block only the bins below the working Nyquist are wanted.
            spectra[channel] = transforms.Value!.Forward(windowed)[..(blockSize / 2 + 1)];
        });
        return ([.. input.Spots.Select((spot, i) => Spot(spot.Set, spotArrays[i], spectra))],
            [.. input.ArraySet.Channels.Select((channel, i) => Scaled(spectra[channel], input.ArraySet.Gains[i]))]);
    }

    public void Dispose() => transforms.Dispose();

    private Complex[] Spot(ChannelSet set, ArrayModel? model, Complex[][] spectra)
    {
        var sum = new Complex[blockSize / 2 + 1];
        var ratio = blockSize / Excerpts.Size;
        for (var i = 0; i < set.Channels.Count; i++)
            for (var k = 0; k < sum.Length; k++)
                sum[k] += set.Gains[i] * (model is null ? 1 : model.Encoder(i, k / ratio)) * spectra[set.Channels[i]][k];
        return sum;
    }

    private static Complex[] Scaled(Complex[] bins, double gain)
    {
        if (gain != 1)
            for (var k = 0; k < bins.Length; k++)
                bins[k] *= gain;
        return bins;
    }
}
