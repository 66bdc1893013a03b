namespace CaptureProc.Vst3.Abi;

/// <summary>One bus of a component.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstcomponent.h).</remarks>
public unsafe struct BusInfo
{
    public MediaType MediaType;
    public BusDirection Direction;
    public int ChannelCount;
    public fixed char Name[128];
    public BusType BusType;
    public BusFlags Flags;
}

/// <summary>What a bus carries.</summary>
public enum MediaType : int
{
    Audio = 0,
    Event = 1,
}

/// <summary>Which way a bus goes, seen from the plug-in.</summary>
public enum BusDirection : int
{
    Input = 0,
    Output = 1,
}

/// <summary>Whether a bus is the main one.</summary>
public enum BusType : int
{
    Main = 0,
    Aux = 1,
}

/// <summary>Bits of <see cref="BusInfo.Flags"/>.</summary>
[Flags]
public enum BusFlags : uint
{
    None = 0,
    DefaultActive = 1 << 0,
    IsControlVoltage = 1 << 1,
}
