namespace CaptureProc.Wav.Samples;

/// <summary>From frames as files hold them to planar channels, and back.</summary>
/// <remarks>Thread: [any]. Allocates: never. Shape: interleaved is frames × channels; a planar channel is one flat run.</remarks>
internal static class Interleaving
{
    /// <summary>Copies one channel out of interleaved frames.</summary>
    public static void Take(ReadOnlySpan<float> interleaved, int channelCount, int channel, Span<float> planar)
    {
        if (channelCount == 1)
        {
            interleaved[..planar.Length].CopyTo(planar);
            return;
        }
        // The slice ends at the last frame used: the loop below runs without bounds to check for.
        interleaved = interleaved[channel..];
        for (int i = 0, at = 0; i < planar.Length; i++, at += channelCount)
            planar[i] = interleaved[at];
    }

    /// <summary>Copies one channel into interleaved frames.</summary>
    public static void Put(ReadOnlySpan<float> planar, int channelCount, int channel, Span<float> interleaved)
    {
        if (channelCount == 1)
        {
            planar.CopyTo(interleaved);
            return;
        }
        interleaved = interleaved[channel..];
        for (int i = 0, at = 0; i < planar.Length; i++, at += channelCount)
            interleaved[at] = planar[i];
    }
}
