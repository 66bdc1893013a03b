namespace CaptureProc.Rendering.Streaming;

/// <summary>A renderer that also notices which of its input channels never carry anything but zeros.</summary>
internal sealed class SilenceWatch(IBlockRenderer renderer) : IBlockRenderer
{
    private readonly bool[] isHeard = new bool[renderer.InputChannels.Count];

    public IReadOnlyList<int> InputChannels => renderer.InputChannels;

    public int OutputChannelCount => renderer.OutputChannelCount;

    public int MaxBlockFrames => renderer.MaxBlockFrames;

    public int LatencyFrames => renderer.LatencyFrames;

    public void Render(float[][] input, float[][] output, int first, int frames)
    {
        for (var i = 0; i < isHeard.Length; i++)
            isHeard[i] = isHeard[i] || input[i].AsSpan(first, frames).ContainsAnyExcept(0f);
        renderer.Render(input, output, first, frames);
    }

    /// <summary>Whether a channel of the recording, counted from 1, has been silent so far.</summary>
    public bool IsSilent(int channel)
    {
        for (var i = 0; i < isHeard.Length; i++)
            if (InputChannels[i] == channel - 1 && isHeard[i])
                return false;
        return true;
    }
}
