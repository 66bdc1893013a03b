namespace CaptureProc.Wav.Take;

/// <summary>Files that follow one another in time and carry the same channels; usually one.</summary>
/// <param name="Files">In the order of time.</param>
/// <param name="Starts">The frame of the chain at which each begins; between two of them there may be silence.</param>
internal sealed record FileChain(IReadOnlyList<WavFile> Files, IReadOnlyList<long> Starts)
{
    /// <summary>The frame of the take at which the chain begins.</summary>
    public long Start { get; init; }

    /// <summary>Whether somebody said that it runs beside the others.</summary>
    public bool IsStatedBeside { get; init; }

    public WavFile First => Files[0];

    public string Path => First.Path;

    public int ChannelCount => First.ChannelCount;

    public long FrameCount => Starts[^1] + Files[^1].FrameCount;

    public long End => Start + FrameCount;
}
