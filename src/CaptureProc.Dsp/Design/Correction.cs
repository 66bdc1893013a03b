namespace CaptureProc.Dsp.Design;

/// <summary>What the conversion from A-format to B-format corrects.</summary>
public enum Correction
{
    /// <summary>A matrix of plain gains: right where the array is small against the wavelength, no latency.</summary>
    None,

    /// <summary>Filters short enough for monitoring.</summary>
    Live,

    /// <summary>Filters for the mix.</summary>
    Full,
}
