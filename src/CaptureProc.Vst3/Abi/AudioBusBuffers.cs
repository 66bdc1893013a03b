namespace CaptureProc.Vst3.Abi;

/// <summary>The samples of one bus: a pointer a channel. A bit of SilenceFlags says that its channel is all zero.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstaudioprocessor.h).</remarks>
public unsafe struct AudioBusBuffers
{
    public int NumChannels;
    public ulong SilenceFlags;
    public void** Channels;
}
