namespace CaptureProc.Wav;

/// <summary>How one sample is stored in a file.</summary>
public enum SampleFormat
{
    Pcm16,
    Pcm24,
    Pcm32,
    Float32,

    /// <summary>Read only: nobody needs more than a float holds of a recording.</summary>
    Float64,
}

/// <summary>Sizes and names of sample formats.</summary>
public static class SampleFormats
{
    public static int BytesPerSample(this SampleFormat format) => format switch
    {
        SampleFormat.Pcm16 => 2,
        SampleFormat.Pcm24 => 3,
        SampleFormat.Float64 => 8,
        _ => 4,
    };

    public static bool IsInteger(this SampleFormat format) => format is not (SampleFormat.Float32 or SampleFormat.Float64);
}
