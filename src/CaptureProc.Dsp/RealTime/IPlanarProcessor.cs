namespace CaptureProc.Dsp.RealTime;

/// <summary>What every processor of audio streams in this library promises; one set of tests holds them all to it.</summary>
/// <remarks>
/// The constructor, and nothing else, allocates and throws for bad parameters: [main]. Process and Reset: [audio].
/// Shape:   input has Inputs channels, output has Outputs channels, both the same number of frames, 0..MaxBlockFrames; anything
///          else is a mistake of the caller and throws before a sample is touched.
/// Blocks:  how a stream is cut into blocks makes no difference to what comes out.
/// In place: an output channel may be the very memory of any input channel (not a shifted part of it).
/// Bad input: a block that holds a NaN, an infinity or a sample beyond <see cref="SampleGuard.Limit"/> counts as silence on all its
///          channels. What comes out is finite: the ring-out of what went before; the next good block is clean.
/// </remarks>
public interface IPlanarProcessor
{
    int Inputs { get; }

    int Outputs { get; }

    int MaxBlockFrames { get; }

    /// <summary>By how many frames the output is late, for a host or a command to make up for; constant for the processor's life.</summary>
    int LatencyFrames { get; }

    void Process(ReadOnlyPlanarSpan input, PlanarSpan output);

    /// <summary>Forgets the past: afterwards the processor behaves as a new one.</summary>
    void Reset();
}
