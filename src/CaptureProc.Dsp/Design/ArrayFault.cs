namespace CaptureProc.Dsp.Design;

/// <summary>Why an array cannot resolve a first-order field, for those who have no room for a sentence.</summary>
public enum ArrayFault
{
    None,
    CapsuleCount,
    Radius,
    Pattern,

    /// <summary>A direction is no number, or two are the same.</summary>
    Directions,

    /// <summary>The directions lie in one plane, or nearly so.</summary>
    Spread,
}
