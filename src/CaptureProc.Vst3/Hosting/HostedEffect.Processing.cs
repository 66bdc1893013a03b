using System.Numerics;
using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Hosting;

public sealed unsafe partial class HostedEffect
{
    private BusBuffers? inputs;
    private BusBuffers? outputs;
    private ProcessContext context;
    private ProcessMode mode;
    private SampleSize size;
    private bool started;

    public int MaxBlockFrames { get; private set; }

    /// <summary>Channels of the main bus in, 0 when there is none.</summary>
    public int InputChannels => MainChannels(BusDirection.Input);

    /// <summary>Channels of the main bus out.</summary>
    public int OutputChannels => MainChannels(BusDirection.Output);

    /// <summary>Asks for other widths of the main buses; false when the plug-in keeps what it has.</summary>
    public bool SetWidths(int inputChannels, int outputChannels)
    {
        var (ins, outs) = (Arrangements(BusDirection.Input), Arrangements(BusDirection.Output));
        if (ins.Length == 0 || outs.Length == 0)
            return false;
        (ins[0], outs[0]) = (ArrangementOf(inputChannels), ArrangementOf(outputChannels));
        fixed (ulong* i = ins)
        fixed (ulong* o = outs)
            return processor.Pointer->Table->SetBusArrangements(processor.Pointer, i, ins.Length, o, outs.Length) == Result.True &&
                InputChannels == inputChannels && OutputChannels == outputChannels;
    }

    /// <summary>Sets the plug-in up and makes it ready for blocks of up to so many frames.</summary>
    public void Start(double sampleRateHz, int maxBlockFrames, ProcessMode processMode = ProcessMode.Offline, SampleSize sampleSize = SampleSize.Float32)
    {
        Stop();
        FreeBuffers();
        if (processor.Pointer->Table->CanProcessSampleSize(processor.Pointer, (int)sampleSize) != Result.True)
            throw Refused(sampleSize == SampleSize.Float64 ? "does not process 64-bit samples" : "does not process 32-bit samples");
        var setup = new ProcessSetup { Mode = processMode, SampleSize = sampleSize, MaxSamplesPerBlock = maxBlockFrames, SampleRate = sampleRateHz };
        Check(processor.Pointer->Table->SetupProcessing(processor.Pointer, &setup), $"does not run at {sampleRateHz} Hz with blocks of {maxBlockFrames}");
        (mode, size, MaxBlockFrames) = (processMode, sampleSize, maxBlockFrames);
        context = new ProcessContext
        {
            State = (uint)(ContextState.Playing | ContextState.TempoValid | ContextState.TimeSigValid | ContextState.ContTimeValid),
            SampleRate = sampleRateHz, Tempo = 120, TimeSigNumerator = 4, TimeSigDenominator = 4,
        };
        inputs = new BusBuffers(BusWidths(BusDirection.Input), maxBlockFrames, sampleSize);
        outputs = new BusBuffers(BusWidths(BusDirection.Output), maxBlockFrames, sampleSize);
        ActivateMainBuses(1);
        Check(component.Pointer->Table->SetActive(component.Pointer, 1), "refuses to become active");
        // Many plug-ins answer "not implemented" here, which is as good as yes.
        processor.Pointer->Table->SetProcessing(processor.Pointer, 1);
        started = true;
    }

    public void Stop()
    {
        if (!started)
            return;
        started = false;
        processor.Pointer->Table->SetProcessing(processor.Pointer, 0);
        component.Pointer->Table->SetActive(component.Pointer, 0);
        ActivateMainBuses(0);
    }

    /// <summary>The samples that the next block reads from a channel of the main bus: MaxBlockFrames of them.</summary>
    public Span<T> Input<T>(int channel)
        where T : unmanaged, IFloatingPoint<T> => inputs!.Main<T>(channel);

    /// <summary>The samples that the last block wrote to a channel of the main bus.</summary>
    public Span<T> Output<T>(int channel)
        where T : unmanaged, IFloatingPoint<T> => outputs!.Main<T>(channel);

    /// <summary>Which output channels the plug-in called silent in the last block, a bit each.</summary>
    public ulong OutputSilence => outputs!.Buses[0].SilenceFlags;

    /// <summary>One block, of 0…MaxBlockFrames frames, from the input buffers to the output buffers.</summary>
    public void Process(int frames)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(frames, MaxBlockFrames);
        fixed (ProcessContext* where = &context)
        {
            var data = new ProcessData
            {
                Mode = mode, SampleSize = size, NumSamples = frames, Context = where,
                NumInputs = inputs!.Count, Inputs = inputs.Buses, NumOutputs = outputs!.Count, Outputs = outputs.Buses,
                InputParameterChanges = pending.Changes, OutputParameterChanges = produced.Changes,
                InputEvents = (IEventList*)events.Pointer(), OutputEvents = (IEventList*)events.Pointer(),
            };
            produced.Clear();
            var result = processor.Pointer->Table->Process(processor.Pointer, &data);
            pending.Clear();
            Check(result, "fails while it processes");
        }
        context.ProjectTimeSamples += frames;
        context.ContinuousTimeSamples += frames;
        context.ProjectTimeMusic = context.ProjectTimeSamples / context.SampleRate * context.Tempo / 60;
        for (var i = 0; i < produced.Count; i++)
            if (produced[i].Points is [.., var last])
                controller.Pointer->Table->SetParamNormalized(controller.Pointer, produced[i].Id, last.Value);
    }

    private static ulong ArrangementOf(int channels) => channels switch
    {
        1 => SpeakerArrangement.Mono,
        2 => SpeakerArrangement.Stereo,
        4 => SpeakerArrangement.AmbisonicOrder1,
        9 => SpeakerArrangement.AmbisonicOrder2,
        16 => SpeakerArrangement.AmbisonicOrder3,
        >= 64 => ulong.MaxValue,
        _ => (1ul << channels) - 1,
    };

    private int[] BusWidths(BusDirection direction)
    {
        var widths = new int[component.Pointer->Table->GetBusCount(component.Pointer, (int)MediaType.Audio, (int)direction)];
        for (var i = 0; i < widths.Length; i++)
        {
            BusInfo info;
            Check(component.Pointer->Table->GetBusInfo(component.Pointer, (int)MediaType.Audio, (int)direction, i, &info), "does not describe its buses");
            widths[i] = info.ChannelCount;
        }
        return widths;
    }

    private int MainChannels(BusDirection direction) => BusWidths(direction) is [var main, ..] ? main : 0;

    private ulong[] Arrangements(BusDirection direction)
    {
        var widths = BusWidths(direction);
        var arrangements = new ulong[widths.Length];
        for (var i = 0; i < widths.Length; i++)
        {
            ulong arrangement;
            var known = processor.Pointer->Table->GetBusArrangement(processor.Pointer, (int)direction, i, &arrangement) == Result.Ok;
            arrangements[i] = known ? arrangement : ArrangementOf(widths[i]);
        }
        return arrangements;
    }

    private void ActivateMainBuses(byte on)
    {
        foreach (var direction in (ReadOnlySpan<BusDirection>)[BusDirection.Input, BusDirection.Output])
            if (component.Pointer->Table->GetBusCount(component.Pointer, (int)MediaType.Audio, (int)direction) > 0)
                component.Pointer->Table->ActivateBus(component.Pointer, (int)MediaType.Audio, (int)direction, 0, on);
    }

    private void FreeBuffers()
    {
        inputs?.Dispose();
        outputs?.Dispose();
        (inputs, outputs) = (null, null);
    }

    /// <summary>Native sample memory for all buses of one direction.</summary>
    private sealed class BusBuffers : IDisposable
    {
        private readonly int frames;
        private readonly void* memory;
        private readonly void** channels;

        public BusBuffers(int[] widths, int frames, SampleSize size)
        {
            this.frames = frames;
            Count = widths.Length;
            var total = widths.Sum();
            var bytes = (nuint)frames * (nuint)(size == SampleSize.Float64 ? sizeof(double) : sizeof(float));
            memory = NativeMemory.AllocZeroed((nuint)Math.Max(1, total) * bytes);
            channels = (void**)NativeMemory.AllocZeroed((nuint)(Math.Max(1, total) * sizeof(void*)));
            Buses = (AudioBusBuffers*)NativeMemory.AllocZeroed((nuint)(Math.Max(1, Count) * sizeof(AudioBusBuffers)));
            var next = 0;
            for (var bus = 0; bus < Count; bus++)
            {
                Buses[bus].NumChannels = widths[bus];
                Buses[bus].Channels = channels + next;
                for (var i = 0; i < widths[bus]; i++, next++)
                    channels[next] = (byte*)memory + (nuint)next * bytes;
            }
        }

        public int Count { get; }

        public AudioBusBuffers* Buses { get; }

        public Span<T> Main<T>(int channel)
            where T : unmanaged
        {
            ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(channel, Buses[0].NumChannels);
            return new Span<T>(Buses[0].Channels[channel], frames);
        }

        public void Dispose()
        {
            NativeMemory.Free(memory);
            NativeMemory.Free(channels);
            NativeMemory.Free(Buses);
        }
    }
}
