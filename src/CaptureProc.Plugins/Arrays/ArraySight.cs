using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Watching;

namespace CaptureProc.Plugins.Arrays;

/// <summary>What the window of an array gathers on the audio thread: peaks of inputs and outputs, and the field.</summary>
internal sealed class ArraySight
{
    private const int Channels = 4;

    /// <summary>The four inputs, then the four outputs.</summary>
    public PeakWatch Peaks { get; } = new(2 * Channels);

    public FieldWatch Field { get; } = new();

    /// <summary>Takes a part of a block that the engine has just processed. [audio]</summary>
    public void Add(ArrayEngine engine, ReadOnlyPlanarSpan input, ReadOnlyPlanarSpan output)
    {
        for (var i = 0; i < Channels; i++)
        {
            Peaks.Add(i, input[i]);
            Peaks.Add(Channels + i, output[i]);
        }
        var frames = output.Frames;
        Field.Add(engine.Field(0, frames), engine.Field(1, frames), engine.Field(2, frames), engine.Field(3, frames));
    }
}
