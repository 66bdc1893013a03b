using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>One instance of an effect in this host: set up, fed block by block, asked for its state.</summary>
/// <remarks>
/// Thread: one at a time. Order: SetWidths and SetState as wanted, <see cref="Start"/>, then blocks, <see cref="Stop"/>;
/// rate and block length may change by another Start.
/// A call that a plug-in has to answer and does not ends in <see cref="PluginException"/>.
/// </remarks>
public sealed unsafe partial class HostedEffect : IDisposable
{
    private readonly ComReference<IComponent> component;
    private readonly ComReference<IAudioProcessor> processor;
    private readonly ComReference<IEditController> controller;
    private readonly bool separateController;
    private readonly HostComponentHandler handler;
    private readonly HostParameterChanges pending = new();
    private readonly HostParameterChanges produced = new();
    private readonly HostEventList events = new();

    internal HostedEffect(ComReference<IPluginFactory> factory, HostContext context, PluginClass pluginClass)
    {
        Class = pluginClass;
        component = CreateObject<IComponent>(factory, pluginClass.Id, IComponent.Iid)
            ?? throw Refused("cannot be created");
        Check(component.Pointer->Table->Base.Initialize(component.Pointer, (FUnknown*)context.Pointer()), "refuses to initialize");
        processor = ComReference<IAudioProcessor>.Query(component.Pointer, IAudioProcessor.Iid)
            ?? throw Refused("processes no audio");

        var own = ComReference<IEditController>.Query(component.Pointer, IEditController.Iid);
        separateController = own == null;
        controller = own ?? CreateController(factory, context);
        handler = new HostComponentHandler((id, value) => pending.QueueOf(id, out _).Add(0, value));
        controller.Pointer->Table->SetComponentHandler(controller.Pointer, (IComponentHandler*)handler.Pointer());
        if (separateController)
        {
            Connect(true);
            TellControllerTheState();
        }
        Parameters = ReadParameters();
    }

    public PluginClass Class { get; }

    public IReadOnlyList<HostedParameter> Parameters { get; }

    /// <summary>The raw interfaces, for what this host does not wrap; lent, not counted.</summary>
    public IComponent* Component => component.Pointer;

    public IAudioProcessor* Processor => processor.Pointer;

    public IEditController* Controller => controller.Pointer;

    public int LatencyFrames => (int)processor.Pointer->Table->GetLatencySamples(processor.Pointer);

    public uint TailFrames => processor.Pointer->Table->GetTailSamples(processor.Pointer);

    /// <summary>What the plug-in has reported as changed since the last look.</summary>
    public RestartFlags TakeRestartFlags() => handler.TakeRestartFlags();

    /// <summary>A value as the controller has it, 0…1.</summary>
    public double GetNormalized(uint id) => controller.Pointer->Table->GetParamNormalized(controller.Pointer, id);

    public string TextOf(uint id, double normalized)
    {
        var text = stackalloc char[NativeText.String128Length];
        text[0] = '\0';
        return controller.Pointer->Table->GetParamStringByValue(controller.Pointer, id, normalized, text) == Result.Ok
            ? NativeText.Read(text, NativeText.String128Length)
            : normalized.ToString("F3", System.Globalization.CultureInfo.InvariantCulture);
    }

    public bool TryParse(uint id, string value, out double normalized)
    {
        var text = stackalloc char[NativeText.String128Length];
        NativeText.Write(value, text, NativeText.String128Length);
        double result;
        var ok = controller.Pointer->Table->GetParamValueByString(controller.Pointer, id, text, &result) == Result.Ok;
        normalized = ok ? result : 0;
        return ok;
    }

    /// <summary>The same, for names that a plug-in may still be reading from files: asks again until it knows the name or patience ends.</summary>
    public bool TryParse(uint id, string value, TimeSpan patience, out double normalized)
    {
        var end = Environment.TickCount64 + (long)patience.TotalMilliseconds;
        while (!TryParse(id, value, out normalized))
        {
            if (Environment.TickCount64 >= end)
                return false;
            Thread.Sleep(5);
        }
        return true;
    }

    public double ToNormalized(uint id, double plain) => controller.Pointer->Table->PlainParamToNormalized(controller.Pointer, id, plain);

    public double ToPlain(uint id, double normalized) => controller.Pointer->Table->NormalizedParamToPlain(controller.Pointer, id, normalized);

    /// <summary>Sets a value as a user would: the controller at once, the processor at the first frame of the next block.</summary>
    /// <remarks>What is neither automatable nor read-only is for the controller alone, told that a hand is on it.</remarks>
    public void SetNormalized(uint id, double normalized)
    {
        if (Parameters.FirstOrDefault(p => p.Id == id) is { IsHelper: true })
        {
            SetByHand(id, normalized);
            return;
        }
        // In this order, so that what the controller answers with an edit of its own comes later in the block than what it answers to.
        pending.QueueOf(id, out _).Add(0, normalized);
        controller.Pointer->Table->SetParamNormalized(controller.Pointer, id, normalized);
    }

    private void SetByHand(uint id, double normalized)
    {
        using var editing = ComReference<IEditControllerHostEditing>.Query(controller.Pointer, IEditControllerHostEditing.Iid);
        if (editing != null)
            editing.Pointer->Table->BeginEditFromHost(editing.Pointer, id);
        controller.Pointer->Table->SetParamNormalized(controller.Pointer, id, normalized);
        if (editing != null)
            editing.Pointer->Table->EndEditFromHost(editing.Pointer, id);
    }

    /// <summary>A point of automation in the next block.</summary>
    public void AddPoint(uint id, int frame, double normalized) => pending.QueueOf(id, out _).Add(frame, normalized);

    public byte[] GetState()
    {
        var stream = new HostStream();
        Check(component.Pointer->Table->GetState(component.Pointer, stream.Stream), "does not give its state");
        var bytes = stream.ToArray();
        stream.Release();
        return bytes;
    }

    public void SetState(ReadOnlySpan<byte> state)
    {
        var stream = new HostStream(state);
        var result = component.Pointer->Table->SetState(component.Pointer, stream.Stream);
        stream.Rewind();
        controller.Pointer->Table->SetComponentState(controller.Pointer, stream.Stream);
        stream.Release();
        Check(result, "refuses the state");
    }

    public void Dispose()
    {
        Stop();
        FreeBuffers();
        if (separateController)
            Connect(false);
        controller.Pointer->Table->SetComponentHandler(controller.Pointer, null);
        if (separateController)
            controller.Pointer->Table->Base.Terminate(controller.Pointer);
        component.Pointer->Table->Base.Terminate(component.Pointer);
        controller.Dispose();
        processor.Dispose();
        component.Dispose();
        handler.Release();
        pending.Release();
        produced.Release();
        events.Release();
    }

    private static ComReference<T>? CreateObject<T>(ComReference<IPluginFactory> factory, Tuid classId, Tuid interfaceId)
        where T : unmanaged
    {
        void* result = null;
        return factory.Pointer->Table->CreateInstance(factory.Pointer, &classId, &interfaceId, &result) == Result.Ok
            ? ComReference<T>.Own(result)
            : null;
    }

    private ComReference<IEditController> CreateController(ComReference<IPluginFactory> factory, HostContext context)
    {
        Tuid id;
        Check(component.Pointer->Table->GetControllerClassId(component.Pointer, &id), "has no controller");
        var made = CreateObject<IEditController>(factory, id, IEditController.Iid) ?? throw Refused("cannot create its controller");
        Check(made.Pointer->Table->Base.Initialize(made.Pointer, (FUnknown*)context.Pointer()), "refuses to initialize its controller");
        return made;
    }

    // Both halves are told of each other directly; there is one thread, so nothing has to stand between them.
    private void Connect(bool on)
    {
        using var a = ComReference<IConnectionPoint>.Query(component.Pointer, IConnectionPoint.Iid);
        using var b = ComReference<IConnectionPoint>.Query(controller.Pointer, IConnectionPoint.Iid);
        if (a == null || b == null)
            return;
        if (on)
        {
            a.Pointer->Table->Connect(a.Pointer, b.Pointer);
            b.Pointer->Table->Connect(b.Pointer, a.Pointer);
        }
        else
        {
            a.Pointer->Table->Disconnect(a.Pointer, b.Pointer);
            b.Pointer->Table->Disconnect(b.Pointer, a.Pointer);
        }
    }

    private void TellControllerTheState()
    {
        var stream = new HostStream();
        if (component.Pointer->Table->GetState(component.Pointer, stream.Stream) == Result.Ok)
        {
            stream.Rewind();
            controller.Pointer->Table->SetComponentState(controller.Pointer, stream.Stream);
        }
        stream.Release();
    }

    private List<HostedParameter> ReadParameters()
    {
        var list = new List<HostedParameter>();
        var count = controller.Pointer->Table->GetParameterCount(controller.Pointer);
        for (var i = 0; i < count; i++)
        {
            ParameterInfo info;
            if (controller.Pointer->Table->GetParameterInfo(controller.Pointer, i, &info) == Result.Ok)
                list.Add(new HostedParameter(
                    info.Id, NativeText.Read(info.Title, NativeText.String128Length), NativeText.Read(info.Units, NativeText.String128Length),
                    info.DefaultNormalizedValue, info.StepCount, info.Flags));
        }
        return list;
    }

    private void Check(int result, string complaint)
    {
        if (result != Result.Ok)
            throw Refused(complaint);
    }

    private PluginException Refused(string complaint) => new($"The plug-in '{Class.Name}' {complaint}.");
}
