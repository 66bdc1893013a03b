namespace CaptureProc.Vst3.Abi;

/// <summary>The part of a component that processes audio.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstaudioprocessor.h).</remarks>
public unsafe struct IAudioProcessor
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x42043F99, 0xB7DA453C, 0xA569E79D, 0x9AAEC33D);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, ulong*, int, ulong*, int, int> SetBusArrangements;
        public delegate* unmanaged<void*, int, int, ulong*, int> GetBusArrangement;
        public delegate* unmanaged<void*, int, int> CanProcessSampleSize;
        public delegate* unmanaged<void*, uint> GetLatencySamples;
        public delegate* unmanaged<void*, ProcessSetup*, int> SetupProcessing;
        public delegate* unmanaged<void*, byte, int> SetProcessing;
        public delegate* unmanaged<void*, ProcessData*, int> Process;
        public delegate* unmanaged<void*, uint> GetTailSamples;
    }
}
