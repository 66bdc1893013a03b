namespace CaptureProc.Simulation.Scenes;

/// <summary>A rendered scene: what the recorder has, and what is true.</summary>
/// <param name="Channels">Planar; channels of the arrays first, then of the spots, in the scene's order. Largest peak 0.5.</param>
/// <param name="ChannelNames">One a channel: the microphone's name, with the capsule's number where it has several.</param>
public sealed record SceneRecording(double SampleRateHz, float[][] Channels, IReadOnlyList<string> ChannelNames, SceneTruth Truth)
{
    public int FrameCount => Channels.Length == 0 ? 0 : Channels[0].Length;
}
