using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Plugins.Arrays;

/// <summary>An array's encoder ready for the audio thread. Immutable.</summary>
public sealed class EncoderFilter
{
    /// <param name="filter">Four capsules in, ACN 0 to 3 out.</param>
    /// <param name="longestTapCount">Of all encoders that may take the place of one another.</param>
    public EncoderFilter(MatrixFilter filter, int longestTapCount)
    {
        (Filter, IntoW, LongestTapCount) = (new SplitFilter(filter, longestTapCount), new FirstOutputFilter(filter), longestTapCount);
    }

    public SplitFilter Filter { get; }

    /// <summary>What makes W of the capsules.</summary>
    public FirstOutputFilter IntoW { get; }

    public int LongestTapCount { get; }

    public int LatencyFrames => Filter.LatencyFrames;
}
