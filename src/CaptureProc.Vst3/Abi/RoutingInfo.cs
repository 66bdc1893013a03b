namespace CaptureProc.Vst3.Abi;

/// <summary>A channel of a bus; −1 stands for all of them.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstcomponent.h).</remarks>
public unsafe struct RoutingInfo
{
    public MediaType MediaType;
    public int BusIndex;
    public int Channel;
}
