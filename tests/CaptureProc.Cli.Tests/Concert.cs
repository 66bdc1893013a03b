using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests;

/// <summary>A small session with a take of five channels: what the rendering commands are tried on.</summary>
public sealed class Concert : IDisposable
{
    public const int Frames = 12000;

    private readonly TemporaryFolder folder = new();

    public Concert()
    {
        CommandLine.Run("start", Session, "--array", "main=1-4", "--spot", "harp=5");
        Edit(s => s with
        {
            Spots = [s.Spots[0] with
            {
                Polarity = -1,
                Delay = new SpotDelay { Samples = 120.25, Ms = 2.505, UncertaintySamples = 0.02, Confidence = 0.99, Source = "click" },
                Direction = new SpotDirection { AzimuthDeg = 30, ElevationDeg = 0, UncertaintyDeg = 1 },
                GainDb = -4,
            }],
        });
        WriteTake(Take, Noise());
    }

    public string Session => folder.File("concert.json");

    public string Take => folder.File("take.wav");

    public string Out => folder.File("out.wav");

    public string Folder => folder.Path;

    public string File(string name) => folder.File(name);

    public void Edit(Func<SessionDocument, SessionDocument> change) => SessionStore.Update(Session, change);

    public static float[][] Noise()
    {
        var random = new Random(5);
        return [.. Enumerable.Range(0, 5).Select(_ => Enumerable.Range(0, Frames).Select(_ => (float)(0.2 * random.NextDouble() - 0.1)).ToArray())];
    }

    public static void WriteTake(string path, float[][] planar, int rate = 48000, SampleFormat format = SampleFormat.Float32)
    {
        using var output = WavOutput.Create(path, new WavOutputFormat(rate, planar.Length, format), replace: true);
        output.Write(planar, 0, planar[0].Length);
        output.Complete();
    }

    /// <summary>The files of the folder, without what every session has.</summary>
    public string[] Files => [.. Directory.GetFiles(Folder).Select(Path.GetFileName).Where(n => n is not ("concert.json" or ".concert.json.undo" or "take.wav")).Order(StringComparer.Ordinal)!];

    public void Dispose() => folder.Dispose();
}
