using CaptureProc.Analysis.Clicks;

namespace CaptureProc.Analysis.Clock;

/// <summary>Finds to a millisecond by how much two recorders' takes are apart, around one slate.</summary>
/// <remarks>
/// Each side becomes its onset strength: the rise of the energy of the differentiated signal over that of the ten milliseconds
/// before, in dB, falls counting as nothing. The lag with the highest cross-correlation is the offset. Whole patterns are compared,
/// so that of several claps none can be mistaken for its neighbour, and levels play no part.
/// </remarks>
internal sealed class SlateOffset(IFrameSource source, double sampleRateHz)
{
    private const double BlockSeconds = 0.001;
    private const int BackgroundBlocks = 10;

    // -80 dB below full scale, differentiated: under any recorder's own noise, and it keeps digital silence finite.
    private const double FloorEnergy = 1e-9;

    private readonly int blockFrames = (int)Math.Round(BlockSeconds * sampleRateHz);

    /// <summary>Frames by which the spot's channels have to come later for its onsets to meet the array's.</summary>
    /// <param name="frame">Where the slate is in the array.</param>
    /// <param name="spanFrames">How far around it is listened, to either side.</param>
    /// <param name="expectedFrames">The offset that is looked for first.</param>
    /// <param name="reachFrames">How far it may lie from the expected one.</param>
    public long Find(ChannelSet array, ChannelSet spot, long frame, long spanFrames, long expectedFrames, long reachFrames)
    {
        var blocks = (int)(2 * spanFrames / blockFrames);
        var reach = (int)(reachFrames / blockFrames) + 1;
        var first = frame - spanFrames;
        var atArray = Onsets(array, first, blocks);
        var atSpot = Onsets(spot, first - expectedFrames - (long)reach * blockFrames, blocks + 2 * reach);
        var (bestLag, best) = (0, double.NegativeInfinity);
        for (var lag = 0; lag <= 2 * reach; lag++)
        {
            var sum = 0.0;
            for (var k = 0; k < blocks; k++)
                sum += atArray[k] * atSpot[k + lag];
            if (sum > best)
                (bestLag, best) = (lag, sum);
        }
        return expectedFrames + (long)(reach - bestLag) * blockFrames;
    }

    private double[] Onsets(ChannelSet set, long firstFrame, int blocks)
    {
        var history = BackgroundBlocks * blockFrames;
        var frames = history + blocks * blockFrames;
        var planar = new float[]?[source.ChannelCount];
        foreach (var channel in set.Channels)
            planar[channel] = new float[frames];
        source.Read(firstFrame - history, planar, frames);
        var energies = new double[BackgroundBlocks + blocks];
        foreach (var channel in set.Channels)
            for (var n = 1; n < frames; n++)
            {
                var step = planar[channel]![n] - planar[channel]![n - 1];
                energies[n / blockFrames] += step * step;
            }
        var onsets = new double[blocks];
        for (var k = 0; k < blocks; k++)
        {
            var before = 0.0;
            for (var j = 0; j < BackgroundBlocks; j++)
                before += energies[k + j] / BackgroundBlocks;
            onsets[k] = Math.Max(0, 10 * Math.Log10((energies[k + BackgroundBlocks] + FloorEnergy) / (before + FloorEnergy)));
        }
        return onsets;
    }
}
