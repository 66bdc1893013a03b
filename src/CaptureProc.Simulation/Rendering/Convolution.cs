using System.Numerics;

namespace CaptureProc.Simulation.Rendering;

/// <summary>Adds a signal through an impulse response into a channel.</summary>
public static class Convolution
{
    /// <summary>Adds signal * response at a frame of the channel; what falls outside the channel is lost.</summary>
    /// <remarks>Thread: [any]. Allocates: never. Cost: one multiplication for every pair, so one of the two has to be short.</remarks>
    public static void Add(ReadOnlySpan<double> signal, ReadOnlySpan<double> response, Span<double> channel, int atFrame)
    {
        var few = signal.Length < response.Length ? signal : response;
        var many = signal.Length < response.Length ? response : signal;
        for (var i = 0; i < few.Length; i++)
        {
            var start = atFrame + i;
            var skip = Math.Max(0, -start);
            var count = Math.Min(many.Length, channel.Length - start) - skip;
            if (count > 0)
                AddScaled(many.Slice(skip, count), few[i], channel.Slice(start + skip, count));
        }
    }

    private static void AddScaled(ReadOnlySpan<double> source, double gain, Span<double> target)
    {
        var i = 0;
        for (; i <= source.Length - Vector<double>.Count; i += Vector<double>.Count)
            (new Vector<double>(target[i..]) + gain * new Vector<double>(source[i..])).CopyTo(target[i..]);
        for (; i < source.Length; i++)
            target[i] += gain * source[i];
    }
}
