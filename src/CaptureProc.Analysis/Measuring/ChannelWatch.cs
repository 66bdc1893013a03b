using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Analysis.Measuring;

/// <summary>A recording that keeps an eye on its channels while somebody goes through it from end to end.</summary>
/// <remarks>
/// Thread: as the source it reads from; only reading on from where the last one ended is watched, so that closer looks from many
/// threads afterwards change nothing. Cost: one sum of squares a sample.
/// </remarks>
public sealed class ChannelWatch(IFrameSource source) : IFrameSource
{
    // Live microphones on one stage all hear a clap at any of them; what rises by so little hears nothing but itself.
    private const double LeastRiseDb = 1.5;
    private const double RiseOfOthersDb = 6;

    // The last bit of 16 is at -90 dBFS.
    private const double SilentMeanSquare = 1e-9;

    private readonly double[] loudest = new double[source.ChannelCount], sums = new double[source.ChannelCount];
    private readonly long[] heard = new long[source.ChannelCount];
    private long next;

    public long FrameCount => source.FrameCount;

    public int ChannelCount => source.ChannelCount;

    public void Read(long firstFrame, float[]?[] planar, int frames)
    {
        source.Read(firstFrame, planar, frames);
        if (firstFrame != next || frames <= 0)
            return;
        next += frames;
        for (var channel = 0; channel < planar.Length; channel++)
        {
            if (planar[channel] is not { } samples)
                continue;
            var sum = SignalPower.SumOfSquares(samples.AsSpan(0, frames));
            sums[channel] += sum;
            heard[channel] += frames;
            loudest[channel] = Math.Max(loudest[channel], sum / frames);
        }
    }

    /// <summary>Whether most of the recording has been watched; before that nothing can be said.</summary>
    public bool IsComplete => next > FrameCount / 2;

    /// <summary>Why a channel hears nothing of what the others hear, in words; null where it does, or where it cannot be told.</summary>
    /// <param name="channel">Counted from 0.</param>
    /// <param name="others">The channels on the same stage.</param>
    public string? Deafness(int channel, IReadOnlyCollection<int> others)
    {
        if (!IsComplete || heard[channel] == 0)
            return null;
        if (loudest[channel] < SilentMeanSquare)
            return "it is silent";
        var rises = others.Where(c => heard[c] > 0 && loudest[c] >= SilentMeanSquare).Select(RiseDb).Order().ToList();
        return rises.Count > 0 && rises[rises.Count / 2] > RiseOfOthersDb && RiseDb(channel) < LeastRiseDb
            ? "it carries noise or hum and nothing of the claps that all others hear"
            : null;
    }

    private double RiseDb(int channel) => 10 * Math.Log10(loudest[channel] * heard[channel] / sums[channel]);
}
