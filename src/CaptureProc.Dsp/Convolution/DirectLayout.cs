namespace CaptureProc.Dsp.Convolution;

/// <summary>How a <see cref="DirectFilter"/> shares out the registers of its kernel.</summary>
internal enum DirectLayout
{
    /// <summary>Four outputs side by side, 16 frames: a sample, once loaded, serves four outputs.</summary>
    Quads,

    /// <summary>Two outputs, 32 frames.</summary>
    Pair,

    /// <summary>
    /// Two outputs that are mirror images: every input reaches the second as it reaches the first, or inverted, as the channels of a
    /// field reach the ears of a symmetric head. One filter an input then makes a middle or a side, and their sum and difference
    /// are the outputs: half the work.
    /// </summary>
    Mirror,

    /// <summary>One output, 32 frames: for filters most of which are nothing, and those are left out.</summary>
    Single,
}
