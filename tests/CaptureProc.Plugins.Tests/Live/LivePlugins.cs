using CaptureProc.Dsp.Design;
using CaptureProc.Plugins.Arrays;
using CaptureProc.Plugins.Link;
using CaptureProc.Plugins.Listening;
using CaptureProc.Plugins.Spots;
using CaptureProc.Plugins.Work;
using CaptureProc.Session;
using CaptureProc.Session.Published;
using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Live;

/// <summary>The plug-ins as managed code in this process, behind the same native interfaces, with published files and workers of their own.</summary>
internal sealed class LivePlugins : IDisposable
{
    public const double SampleRateHz = 48000;

    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("captureproc-live-");
    private readonly SharedWorker designs = new("test designs"), files = new("test files");
    private readonly ProcessFiles<SessionCatalog, CatalogEntry> sessions;
    private readonly ProcessFiles<HeadCatalog, HeadEntry> heads;

    public LivePlugins()
    {
        Published = folder.CreateSubdirectory("published").FullName;
        sessions = new(designs, files, () => new SessionCatalog(Published));
        heads = new(designs, files, () => new HeadCatalog(Published));
    }

    public string Published { get; }

    public SharedWorker Files => files;

    /// <summary>The effect behind the last instance that was made, as a window has it.</summary>
    public Vst3.Effects.AudioEffect Last { get; private set; } = null!;

    public HostedEffect Create(string name)
    {
        var offered = Bundle.Classes.Single(c => c.Name == $"CaptureProc {name}");
        return InProcess.Create(offered with { Create = () => Last = Make(name, offered.Buses.InputChannels, offered.Buses.OutputChannels) });
    }

    public HostedEffect Start(string name, int maxBlockFrames, params (string Title, string Value)[] settings)
    {
        var effect = Create(name);
        foreach (var (title, value) in settings)
            Native.NativePlugins.Set(effect, title, value);
        effect.Start(SampleRateHz, maxBlockFrames, ProcessMode.Realtime);
        return effect;
    }

    /// <summary>Publishes a session and returns where its file is.</summary>
    public string Publish(SessionDocument session)
    {
        var path = Path.Combine(folder.FullName, $"{session.Title}.json");
        SessionStore.Create(path, session);
        PublishedSessions.Publish(path, Published);
        return path;
    }

    public void Dispose() => folder.Delete(recursive: true);

    private Vst3.Effects.AudioEffect Make(string name, int inputs, int outputs) => name switch
    {
        "Array" => new ArrayEffect(sessions, Correction.None, Correction.Live, Correction.Full),
        "Array Live" => new ArrayEffect(sessions, Correction.None, Correction.Live),
        _ when name.StartsWith("Listen", StringComparison.Ordinal) => new ListenEffect(heads, name[^1] - '0'),
        _ => new SpotEffect(sessions, inputs, outputs, new SpotParameters(new SpotShape(inputs, outputs, SampleRateHz))),
    };
}
