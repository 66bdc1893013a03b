using System.Runtime.InteropServices;
using CaptureProc.Session;
using CaptureProc.Session.Published;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.PluginLoad;

/// <summary>A published session of an orchestra's size that changes when it is told to.</summary>
internal sealed partial class PublishedDemo : IDisposable
{
    private const string Title = "Load";

    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("captureproc-load-");
    private readonly string path;
    private int changes;

    public PublishedDemo()
    {
        // The library reads the environment of the process, which .NET's own setter does not touch.
        SetEnvironment(PublishedFolder.EnvironmentVariable, folder.FullName, 1);
        path = Path.Combine(folder.FullName, "session.json");
        SessionStore.Create(path, new SessionDocument
        {
            Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch,
            Arrays =
            [
                new ArrayEntry
                {
                    Id = "main", Channels = [1, 2, 3, 4], RadiusMm = 14.7, Pattern = 0.5,
                    Capsules = [.. "FLU FRD BLD BRU".Split(' ').Select(label => CapsuleLabel.TryParse(label, out var capsule) ? capsule : capsule)],
                },
            ],
            Spots = [.. Enumerable.Range(0, 40).Select(i => Spot(i, 0))],
        });
        PublishedSessions.Publish(path, folder.FullName);
    }

    public static void Choose(HostedEffect effect)
    {
        if (effect.Parameters.Any(p => p.Title == "Session"))
            Set(effect, "Session", Title);
        // Four-channel spots have arrays of their own, and this session has none.
        if (effect.InputChannels < 4)
            Set(effect, "Spot", "spot 7");
    }

    public void Change()
    {
        changes++;
        SessionStore.Update(path, s => s with
        {
            Arrays = [s.Arrays[0] with { RadiusMm = 14.7 + 0.1 * (changes % 2) }], Spots = [.. Enumerable.Range(0, 40).Select(i => Spot(i, changes))],
        });
    }

    public void Dispose() => folder.Delete(recursive: true);

    private static SpotEntry Spot(int number, int change) => new()
    {
        Id = $"spot {number}", Channels = [5 + number], Polarity = 1, Direction = new SpotDirection { AzimuthDeg = 9 * number },
        Delay = new SpotDelay { Samples = 100 + number + 0.5 * (change % 2), Ms = 2, UncertaintySamples = 0.04, Confidence = 0.99 },
    };

    private static void Set(HostedEffect effect, string title, string value)
    {
        var parameter = effect.Parameters.Single(p => p.Title == title);
        if (!effect.TryParse(parameter.Id, value, TimeSpan.FromSeconds(20), out var normalized))
            throw new InvalidOperationException($"{title} does not take {value}.");
        effect.SetNormalized(parameter.Id, normalized);
    }

    [LibraryImport("libc", EntryPoint = "setenv", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int SetEnvironment(string name, string value, int overwrite);
}
