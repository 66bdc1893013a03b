using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Hosting;

/// <summary>What a plug-in says of one of its parameters.</summary>
/// <param name="DefaultNormalized">0…1.</param>
/// <param name="StepCount">0 for a continuous one, otherwise the number of values less one.</param>
public sealed record HostedParameter(uint Id, string Title, string Unit, double DefaultNormalized, int StepCount, ParameterFlags Flags)
{
    public bool IsReadOnly => (Flags & ParameterFlags.IsReadOnly) != 0;

    /// <summary>Neither automated nor shown only: for hands.</summary>
    public bool IsHelper => (Flags & (ParameterFlags.CanAutomate | ParameterFlags.IsReadOnly)) == 0;

    public bool IsHidden => (Flags & ParameterFlags.IsHidden) != 0;
}
