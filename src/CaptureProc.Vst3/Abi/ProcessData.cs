namespace CaptureProc.Vst3.Abi;

/// <summary>Everything that one process call gets. Any pointer may be null.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstaudioprocessor.h).</remarks>
public unsafe struct ProcessData
{
    public ProcessMode Mode;
    public SampleSize SampleSize;
    public int NumSamples;
    public int NumInputs;
    public int NumOutputs;
    public AudioBusBuffers* Inputs;
    public AudioBusBuffers* Outputs;
    public IParameterChanges* InputParameterChanges;
    public IParameterChanges* OutputParameterChanges;
    public IEventList* InputEvents;
    public IEventList* OutputEvents;
    public ProcessContext* Context;
}
