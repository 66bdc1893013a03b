namespace CaptureProc.Rendering.Streaming;

/// <summary>A reusable stretch of planar audio on its way along the conveyor.</summary>
internal sealed class AudioBlock
{
    public AudioBlock(int channels, int capacityFrames)
    {
        Channels = new float[channels][];
        for (var c = 0; c < channels; c++)
            Channels[c] = new float[capacityFrames];
    }

    public float[][] Channels { get; }

    public int Frames { get; set; }
}
