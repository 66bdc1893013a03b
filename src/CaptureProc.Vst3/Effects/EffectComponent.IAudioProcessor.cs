using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Effects;

internal sealed unsafe partial class EffectComponent
{
    private ulong inputArrangement;
    private ulong outputArrangement;

    private static IAudioProcessor.Vtbl* BuildProcessorTable()
    {
        var table = InterfaceMap.NewTable<IAudioProcessor.Vtbl>();
        table->Base = UnknownTable;
        table->SetBusArrangements = &SetBusArrangements;
        table->GetBusArrangement = &GetBusArrangement;
        table->CanProcessSampleSize = &CanProcessSampleSize;
        table->GetLatencySamples = &GetLatencySamples;
        table->SetupProcessing = &SetupProcessing;
        table->SetProcessing = &SetProcessing;
        table->Process = &Process;
        table->GetTailSamples = &GetTailSamples;
        return table;
    }

    private static IProcessContextRequirements.Vtbl* BuildRequirementsTable()
    {
        var table = InterfaceMap.NewTable<IProcessContextRequirements.Vtbl>();
        table->Base = UnknownTable;
        table->GetProcessContextRequirements = &GetProcessContextRequirements;
        return table;
    }

    // The number of bits decides, never which bits: hosts name four channels in many ways.
    [UnmanagedCallersOnly]
    private static int SetBusArrangements(void* self, ulong* inputs, int inputCount, ulong* outputs, int outputCount)
    {
        try
        {
            var component = Self(self);
            var buses = component.effectClass.Buses;
            if (component.active || inputCount != 1 || outputCount != 1 || inputs == null || outputs == null ||
                SpeakerArrangement.ChannelCount(*inputs) != buses.InputChannels ||
                SpeakerArrangement.ChannelCount(*outputs) != buses.OutputChannels)
                return Result.False;
            (component.inputArrangement, component.outputArrangement) = (*inputs, *outputs);
            return Result.True;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int GetBusArrangement(void* self, int direction, int index, ulong* arrangement)
    {
        try
        {
            if (arrangement == null || !IsBus((int)MediaType.Audio, direction, index))
                return Result.InvalidArgument;
            var component = Self(self);
            *arrangement = direction == (int)BusDirection.Input ? component.inputArrangement : component.outputArrangement;
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int CanProcessSampleSize(void* self, int size) =>
        size is (int)SampleSize.Float32 or (int)SampleSize.Float64 ? Result.True : Result.False;

    [UnmanagedCallersOnly]
    private static uint GetLatencySamples(void* self)
    {
        try
        {
            return (uint)Self(self).effect.LatencyFrames;
        }
        catch
        {
            return 0;
        }
    }

    [UnmanagedCallersOnly]
    private static int SetupProcessing(void* self, ProcessSetup* setup)
    {
        try
        {
            if (setup == null || !(setup->SampleRate > 0) || setup->MaxSamplesPerBlock < 0)
                return Result.InvalidArgument;
            Self(self).Prepare(setup->SampleRate, Math.Max(1, setup->MaxSamplesPerBlock));
            return Result.Ok;
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int SetProcessing(void* self, byte state) => Result.Ok;

    [UnmanagedCallersOnly]
    private static int Process(void* self, ProcessData* data)
    {
        try
        {
            if (data == null)
                return Result.InvalidArgument;
            Self(self).ProcessBlock(data);
            return Result.Ok;
        }
        catch
        {
            ClearOutputs(data);
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static uint GetTailSamples(void* self)
    {
        try
        {
            return Self(self).effect.TailFrames;
        }
        catch
        {
            return 0;
        }
    }

    // The transport means nothing to an effect here.
    [UnmanagedCallersOnly]
    private static uint GetProcessContextRequirements(void* self) => 0;
}
