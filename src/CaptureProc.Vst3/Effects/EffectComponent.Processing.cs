using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

internal sealed unsafe partial class EffectComponent
{
    private readonly ParameterLines lines;
    private readonly MeterBank meters;
    private float[] inputSamples = [];
    private float[] outputSamples = [];
    private int maxBlockFrames;
    private bool active;

    private void Prepare(double sampleRateHz, int maxFrames)
    {
        inputSamples = Samples(effectClass.Buses.InputChannels * maxFrames);
        outputSamples = Samples(effectClass.Buses.OutputChannels * maxFrames);
        lines.Prepare(sampleRateHz);
        meters.Prepare(sampleRateHz);
        effect.Prepare(sampleRateHz, maxFrames);
        // Last, because it is what says that all of this is there.
        maxBlockFrames = maxFrames;
        Reset();
    }

    // Pinned: where a collection neither moves nor scans them. Written to, so that the audio thread is not the first to touch a page.
    private static float[] Samples(int count)
    {
        var samples = GC.AllocateUninitializedArray<float>(count, pinned: true);
        samples.AsSpan().Clear();
        return samples;
    }

    // May come on the audio thread, and in any order: hosts deactivate what they have never activated.
    private void Activate(bool on)
    {
        var guard = AudioThreadGuard.Enter();
        active = on;
        if (on && maxBlockFrames > 0)
            Reset();
        AudioThreadGuard.Leave(guard);
    }

    private void Reset()
    {
        lines.Restart();
        effect.Reset();
    }

    private void ProcessBlock(ProcessData* data)
    {
        var guard = AudioThreadGuard.Enter();
        var frames = Math.Max(0, data->NumSamples);
        lines.Begin(data->InputParameterChanges, frames);
        if (maxBlockFrames == 0)
        {
            ClearOutputs(data);
        }
        else
        {
            // A host may send more than it announced; the effect never sees that.
            var silent = ulong.MaxValue;
            for (var start = 0; start < frames; start += maxBlockFrames)
                silent &= ProcessPiece(data, start, Math.Min(maxBlockFrames, frames - start));
            if (frames > 0)
                SetSilence(data, silent);
        }
        lines.End();
        meters.Send(data->OutputParameterChanges, frames);
        AudioThreadGuard.Leave(guard);
    }

    /// <summary>Returns a bit for each output channel that is all zero.</summary>
    private ulong ProcessPiece(ProcessData* data, int start, int frames)
    {
        lines.BeginPiece(start, frames);
        var source = data->NumInputs > 0 && data->Inputs != null ? data->Inputs[0] : default;
        for (var channel = 0; channel < effectClass.Buses.InputChannels; channel++)
            SampleBuffers.Read(source, data->SampleSize, channel, start, inputSamples.AsSpan(channel * maxBlockFrames, frames));

        effect.Process(new AudioBlock(inputSamples, outputSamples, maxBlockFrames, frames, lines, meters));
        lines.EndPiece();

        var silent = ulong.MaxValue;
        if (data->NumOutputs <= 0 || data->Outputs == null || data->Outputs[0].Channels == null)
            return silent;
        ref readonly var target = ref data->Outputs[0];
        for (var channel = 0; channel < target.NumChannels; channel++)
        {
            if (channel >= effectClass.Buses.OutputChannels)
                SampleBuffers.Clear(target, data->SampleSize, channel, start, frames);
            else if (!SampleBuffers.Write(outputSamples.AsSpan(channel * maxBlockFrames, frames), target, data->SampleSize, channel, start))
                silent &= ~(1ul << channel);
        }
        return silent;
    }

    private static void SetSilence(ProcessData* data, ulong silent)
    {
        for (var bus = 0; data->Outputs != null && bus < data->NumOutputs; bus++)
        {
            if (bus > 0)
                ClearBus(data, bus);
            data->Outputs[bus].SilenceFlags = AllChannels(data->Outputs[bus]) & (bus > 0 ? ulong.MaxValue : silent);
        }
    }

    private static void ClearOutputs(ProcessData* data)
    {
        for (var bus = 0; data->Outputs != null && bus < data->NumOutputs; bus++)
        {
            ClearBus(data, bus);
            data->Outputs[bus].SilenceFlags = AllChannels(data->Outputs[bus]);
        }
    }

    private static ulong AllChannels(in AudioBusBuffers bus) => bus.NumChannels >= 64 ? ulong.MaxValue : (1ul << bus.NumChannels) - 1;

    private static void ClearBus(ProcessData* data, int bus)
    {
        ref readonly var target = ref data->Outputs[bus];
        for (var channel = 0; target.Channels != null && channel < target.NumChannels; channel++)
            SampleBuffers.Clear(target, data->SampleSize, channel, 0, Math.Max(0, data->NumSamples));
    }
}
