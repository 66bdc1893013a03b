namespace CaptureProc.Vst3.Abi;

/// <summary>What stays the same from one activation to the next.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstaudioprocessor.h).</remarks>
public unsafe struct ProcessSetup
{
    public ProcessMode Mode;
    public SampleSize SampleSize;
    public int MaxSamplesPerBlock;
    public double SampleRate;
}

/// <summary>Whether the host waits for the result.</summary>
public enum ProcessMode : int
{
    Realtime = 0,
    Prefetch = 1,
    Offline = 2,
}

/// <summary>The number type of the samples.</summary>
public enum SampleSize : int
{
    Float32 = 0,
    Float64 = 1,
}
