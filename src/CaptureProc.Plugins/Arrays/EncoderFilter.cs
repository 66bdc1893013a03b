using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Plugins.Arrays;

/// <summary>An array's encoder ready for the audio thread: a mixing of the capsules, and the filters behind it. Immutable.</summary>
/// <remarks>
/// The mixing is the array's encoder without its spacing: of a regular tetrahedron it leaves one filter a channel, of any other array
/// it would leave all sixteen, and then there is none. An engine keeps the mixing that it began with, so that a change of
/// filters is only that; <see cref="Behind"/> gives another encoder's filters for it.
/// </remarks>
public sealed class EncoderFilter
{
    private const int Channels = 4;

    private static readonly float[] NoMix = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

    private readonly MatrixFilter filter;
    private readonly float[] mix;

    /// <param name="filter">Four capsules in, ACN 0 to 3 out.</param>
    /// <param name="longestTapCount">Of all encoders that may take the place of one another.</param>
    /// <param name="gains">The same array's encoder without its spacing, one tap; null for no mixing.</param>
    public EncoderFilter(MatrixFilter filter, int longestTapCount, MatrixFilter? gains = null)
    {
        (this.filter, LongestTapCount, IntoW) = (filter, longestTapCount, new FirstOutputFilter(filter));
        mix = NoMix;
        if (gains is not null && MixedFilter.Behind(filter, MixOf(gains)) is var behind && MixedFilter.IsDiagonal(behind))
            (mix, filter, IsSparse) = (MixOf(gains), behind, true);
        Filter = new SplitFilter(filter, longestTapCount, IsSparse);
    }

    /// <summary>The gains that come before the filters, output-major.</summary>
    public ReadOnlySpan<float> Mix => mix;

    /// <summary>Whether one filter a channel is left.</summary>
    public bool IsSparse { get; }

    /// <summary>Behind <see cref="Mix"/>.</summary>
    public SplitFilter Filter { get; }

    /// <summary>What makes W of the capsules, without a mixing.</summary>
    public FirstOutputFilter IntoW { get; }

    public int LongestTapCount { get; }

    public int LatencyFrames => Filter.LatencyFrames;

    /// <summary>These filters for an engine that began with another encoder. [main] or the worker.</summary>
    public SplitFilter Behind(EncoderFilter first) => IsSparse == first.IsSparse && mix.AsSpan().SequenceEqual(first.mix)
        ? Filter
        : new SplitFilter(MixedFilter.Behind(filter, first.mix), LongestTapCount, first.IsSparse);

    // Rows of length one, so that what is mixed is about as loud as what comes in.
    private static float[] MixOf(MatrixFilter gains)
    {
        var mix = new float[Channels * Channels];
        for (var output = 0; output < Channels; output++)
        {
            var length = 0.0;
            for (var input = 0; input < Channels; input++)
                length += (double)gains.Taps(output, input)[0] * gains.Taps(output, input)[0];
            for (var input = 0; input < Channels; input++)
                mix[output * Channels + input] = (float)(gains.Taps(output, input)[0] / Math.Sqrt(length));
        }
        return mix;
    }
}
