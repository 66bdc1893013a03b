namespace CaptureProc.Vst3.Abi;

/// <summary>What a controller says of one parameter. Values run 0…1; a step count of 0 is continuous.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivsteditcontroller.h).</remarks>
public unsafe struct ParameterInfo
{
    public uint Id;
    public fixed char Title[128];
    public fixed char ShortTitle[128];
    public fixed char Units[128];
    public int StepCount;
    public double DefaultNormalizedValue;
    public int UnitId;
    public ParameterFlags Flags;
}

/// <summary>Bits of <see cref="ParameterInfo.Flags"/>.</summary>
[Flags]
public enum ParameterFlags : int
{
    None = 0,
    CanAutomate = 1 << 0,
    IsReadOnly = 1 << 1,
    IsWrapAround = 1 << 2,
    IsList = 1 << 3,
    IsHidden = 1 << 4,
    IsProgramChange = 1 << 15,
    IsBypass = 1 << 16,
}

/// <summary>What a controller reports through <see cref="IComponentHandler"/>.RestartComponent.</summary>
[Flags]
public enum RestartFlags : int
{
    ReloadComponent = 1 << 0,
    IoChanged = 1 << 1,
    ParamValuesChanged = 1 << 2,
    LatencyChanged = 1 << 3,
    ParamTitlesChanged = 1 << 4,
}
