namespace CaptureProc.Dsp.RealTime;

/// <summary>The check at the door of every processor.</summary>
internal static class BlockShape
{
    public static void Check(IPlanarProcessor processor, ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        if (input.Channels != processor.Inputs)
            throw new ArgumentException($"The input has {input.Channels} channels; the processor takes {processor.Inputs}.", nameof(input));
        if (output.Channels != processor.Outputs)
            throw new ArgumentException($"The output has {output.Channels} channels; the processor makes {processor.Outputs}.", nameof(output));
        if (input.Frames != output.Frames)
            throw new ArgumentException($"The input has {input.Frames} frames, the output {output.Frames}.", nameof(output));
        if (input.Frames > processor.MaxBlockFrames)
            throw new ArgumentException($"The block has {input.Frames} frames; the processor was made for up to {processor.MaxBlockFrames}.", nameof(input));
    }
}
