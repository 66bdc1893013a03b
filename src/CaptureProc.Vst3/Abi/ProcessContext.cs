namespace CaptureProc.Vst3.Abi;

/// <summary>Where the transport is. Which members are valid stands in the bits of State.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstprocesscontext.h).</remarks>
public unsafe struct ProcessContext
{
    public uint State;
    public double SampleRate;
    public long ProjectTimeSamples;
    public long SystemTime;
    public long ContinuousTimeSamples;
    public double ProjectTimeMusic;
    public double BarPositionMusic;
    public double CycleStartMusic;
    public double CycleEndMusic;
    public double Tempo;
    public int TimeSigNumerator;
    public int TimeSigDenominator;
    public Chord Chord;
    public int SmpteOffsetSubframes;
    public FrameRate FrameRate;
    public int SamplesToNextClock;
}

/// <summary>Bits of <see cref="ProcessContext.State"/>.</summary>
[Flags]
public enum ContextState : uint
{
    Playing = 1 << 1,
    TempoValid = 1 << 10,
    TimeSigValid = 1 << 13,
    ContTimeValid = 1 << 17,
}
