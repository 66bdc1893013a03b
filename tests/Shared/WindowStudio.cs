using System.Runtime.InteropServices;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Plugins.Views;
using CaptureProc.Screen.Drawing;
using CaptureProc.Session;
using CaptureProc.Session.Published;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Vst3.Views;

namespace CaptureProc.Testing;

/// <summary>The windows of the plug-ins without a screen: an invented session, invented sound, a clock of our own.</summary>
/// <remarks>The same picture every time: sound comes from a seed, frames at set times.</remarks>
internal sealed partial class WindowStudio : IDisposable
{
    public const double SampleRateHz = 48000;

    private const int Block = 480;
    private const int FramesPerSecond = 30;

    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("captureproc-windows-");
    private readonly HostedEffect effect;
    private readonly Random random = new(17);
    private long milliseconds = 1000;
    private long framesDone;

    public WindowStudio(EffectClass effectClass, bool hasHighContrast = false, double size = 1)
    {
        Publish(folder.FullName);
        AudioEffect? made = null;
        var watched = new EffectClass(
            effectClass.Id, effectClass.Name, effectClass.SubCategories, effectClass.Version, effectClass.Buses, effectClass.Parameters, effectClass.StateMagic,
            () => made = effectClass.Create());
        effect = InProcess.Create(watched);
        Effect = made!;
        View = (PluginView)made!.CreateView()!;
        View.Preferences = new WindowPreferences(Path.Combine(folder.FullName, "windows.txt")) { HasHighContrast = hasHighContrast };
        Picture = new Picture((int)(View.NaturalSize.Width * size), (int)(View.NaturalSize.Height * size));
        View.UseSurface(new PixelSurface(Picture.Pixels, Picture.Width, Picture.Height, Picture.StrideBytes));
        effect.Start(SampleRateHz, Block, ProcessMode.Realtime);
        Inputs = effect.InputChannels;
    }

    public AudioEffect Effect { get; }

    public PluginView View { get; }

    public Picture Picture { get; }

    public int Inputs { get; }

    public HostedEffect Hosted => effect;

    /// <summary>Pieces of the window that frames have drawn so far.</summary>
    public long PartsDrawn { get; private set; }

    /// <summary>Managed bytes that frames have allocated so far.</summary>
    public long GarbageBytes { get; private set; }

    /// <summary>Sets a parameter as the host would, and waits until the plug-in has taken it.</summary>
    public void Set(string title, string value)
    {
        var parameter = effect.Parameters.Single(p => p.Title == title);
        var patience = Environment.TickCount64 + 20_000;
        double normalized;
        while (!effect.TryParse(parameter.Id, value, out normalized))
        {
            if (Environment.TickCount64 > patience)
                throw new InvalidOperationException($"{title} does not take {value}.");
            Thread.Sleep(20);
        }
        effect.SetNormalized(parameter.Id, normalized);
    }

    public string Text(string title)
    {
        var parameter = effect.Parameters.Single(p => p.Title == title);
        return effect.TextOf(parameter.Id, effect.GetNormalized(parameter.Id));
    }

    /// <summary>Lets blocks of silence run until a value reads as wanted: what workers bring comes when it comes.</summary>
    public void WaitFor(string title, string value)
    {
        var patience = Environment.TickCount64 + 30_000;
        while (Text(title) != value)
        {
            if (Environment.TickCount64 > patience)
                throw new InvalidOperationException($"{title} reads {Text(title)}, not {value}.");
            effect.Process(Block);
            Thread.Sleep(10);
        }
    }

    /// <summary>Plays sound and draws frames, as long as told.</summary>
    public void Run(double seconds, Action<float[][], long>? play = null)
    {
        var rows = Enumerable.Range(0, Inputs).Select(_ => new float[Block]).ToArray();
        for (var frame = 0; frame < seconds * FramesPerSecond; frame++)
        {
            for (var block = 0; block < SampleRateHz / Block / FramesPerSecond; block++)
            {
                foreach (var row in rows)
                    Array.Clear(row);
                play?.Invoke(rows, framesDone);
                for (var i = 0; i < Inputs; i++)
                    rows[i].CopyTo(effect.Input<float>(i));
                effect.Process(Block);
                framesDone += Block;
            }
            Draw();
        }
    }

    /// <summary>One frame of the window, a thirtieth of a second on.</summary>
    public int Draw()
    {
        milliseconds += 1000 / FramesPerSecond;
        var before = GC.GetAllocatedBytesForCurrentThread();
        var parts = View.Draw(milliseconds).Length;
        PartsDrawn += parts;
        GarbageBytes += GC.GetAllocatedBytesForCurrentThread() - before;
        return parts;
    }

    /// <summary>Four cardioids of a tetrahedron that hear noises from directions, each at its level, one after the other and over each other.</summary>
    public void PlayTetrahedron(float[][] rows, long at, params (Direction From, double LevelDb)[] sources)
    {
        ReadOnlySpan<(int Front, int Left, int Up)> corners = [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)];
        for (var s = 0; s < sources.Length; s++)
        {
            var u = sources[s].From.ToUnitVector();
            var gain = (float)(Math.Pow(10, sources[s].LevelDb / 20) * (0.55 + 0.45 * Math.Sin(at / 14400.0 + 2.1 * s)));
            for (var i = 0; i < Block; i++)
            {
                var sample = gain * ((float)random.NextDouble() - 0.5f);
                for (var c = 0; c < 4; c++)
                {
                    var cosine = (u.X * corners[c].Front + u.Y * corners[c].Left + u.Z * corners[c].Up) / Math.Sqrt(3);
                    rows[c][i] += sample * (float)(0.5 + 0.5 * cosine);
                }
            }
        }
    }

    /// <summary>The same noise on every input, with a gain in dB each.</summary>
    public void PlayNoise(float[][] rows, params double[] gainsDb)
    {
        for (var i = 0; i < Block; i++)
        {
            var sample = 0.25f * ((float)random.NextDouble() - 0.5f);
            for (var c = 0; c < rows.Length; c++)
                rows[c][i] = sample * (float)Math.Pow(10, gainsDb[c % gainsDb.Length] / 20);
        }
    }

    public void Dispose()
    {
        View.Dispose();
        effect.Dispose();
        Picture.Dispose();
        folder.Delete(recursive: true);
    }

    private static void Publish(string folder)
    {
        var published = Path.Combine(folder, "published");
        Directory.CreateDirectory(published);
        Environment.SetEnvironmentVariable(PublishedFolder.EnvironmentVariable, published);
        var path = Path.Combine(folder, "evening.json");
        SessionStore.Create(path, Evening());
        PublishedSessions.Publish(path, published);
    }

    private static SessionDocument Evening() => new()
    {
        Title = "evening", SampleRate = 48000, Created = new DateTimeOffset(2026, 5, 3, 10, 12, 0, TimeSpan.Zero),
        Air = new AirEntry { TemperatureC = 20, SpeedOfSound = 343.2 },
        Arrays =
        [
            new ArrayEntry
            {
                Id = "main", Channels = [1, 2, 3, 4], RadiusMm = 14.7, Pattern = 0.5, ActiveTrim = "line-up",
                Capsules =
                [
                    new CapsuleEntry { Label = "FLU", AzimuthDeg = 45, ElevationDeg = 35.264 }, new CapsuleEntry { Label = "FRD", AzimuthDeg = -45, ElevationDeg = -35.264 },
                    new CapsuleEntry { Label = "BLD", AzimuthDeg = 135, ElevationDeg = -35.264 }, new CapsuleEntry { Label = "BRU", AzimuthDeg = -135, ElevationDeg = 35.264 },
                ],
                TrimSets =
                [
                    new TrimSet { Name = "line-up", Source = "pink", Db = [0, 0.12, -0.05, 0.31], UncertaintyDb = [0.01, 0.01, 0.01, 0.01] },
                    new TrimSet { Name = "by ear", Db = [0, 0.5, 0.25, 0] },
                ],
            },
            new ArrayEntry
            {
                Id = "gallery", Channels = [9, 10, 11, 12], RadiusMm = 12, Pattern = 0.5, Mount = new MountEntry { RollDeg = 180 },
                Capsules =
                [
                    new CapsuleEntry { Label = "FLU", AzimuthDeg = 45, ElevationDeg = 35.264 }, new CapsuleEntry { Label = "FRD", AzimuthDeg = -45, ElevationDeg = -35.264 },
                    new CapsuleEntry { Label = "BLD", AzimuthDeg = 135, ElevationDeg = -35.264 }, new CapsuleEntry { Label = "BRU", AzimuthDeg = -135, ElevationDeg = 35.264 },
                ],
            },
        ],
        Spots =
        [
            Spot("harp", 5, 812.37, 31.2, 5.8, 0.99), Spot("bells", 6, 1042.6, -24.5, 7.4, 0.98), Spot("viola", 7, 455.1, -58, 3.2, 0.99),
            Spot("oboe", 8, 690.9, 4, 4.9, 0.72),
        ],
    };

    private static SpotEntry Spot(string id, int channel, double samples, double azimuthDeg, double distanceM, double confidence) => new()
    {
        Id = id, Channels = [channel], Polarity = 1, GainDb = -2.3, DistanceM = distanceM,
        Delay = new SpotDelay { Samples = samples, Ms = samples / 48, UncertaintySamples = 0.04, Confidence = confidence, Source = "click" },
        Direction = new SpotDirection { AzimuthDeg = azimuthDeg, ElevationDeg = -4, UncertaintyDeg = 1.5 },
        Slate = Clap(channel, samples),
    };

    // An invented clap: a few decaying waves, then what the room sends back; the array hears more of the room.
    private static SlateTraces Clap(int seed, double delaySamples)
    {
        var random = new Random(seed);
        var (spot, array) = (new float[2400], new float[2400]);
        var direct = 1800 - (int)delaySamples;
        for (var n = 0; n < spot.Length; n++)
        {
            spot[n] = Hand(n - direct) + 0.04f * Hall(n - direct - 90, random);
            array[n] = Hand(n - 1800) + 0.22f * Hall(n - 1800 - 70, random);
        }
        var from = 1800 - (int)delaySamples - 120;
        return new SlateTraces
        {
            DelaySamples = delaySamples, TimeSeconds = 12.4,
            Recorded = new TracePair
            {
                FromMs = (from - 1800) / 48.0, ToMs = 288 / 48.0, Array = SlateTrace.ToText(array.AsSpan(from, 2088 - from)), Spot = SlateTrace.ToText(spot.AsSpan(from, 2088 - from)),
            },
            LinedUp = new TracePair
            {
                FromMs = -0.5, ToMs = 3, Array = SlateTrace.ToText(array.AsSpan(1776, 168)), Spot = SlateTrace.ToText(spot.AsSpan(direct - 24, 168)),
            },
        };
    }

    private static float Hand(int n) => n < 0 ? 0 : MathF.Exp(-n / 22f) * MathF.Sin(n * 0.42f) + 0.5f * MathF.Exp(-n / 60f) * MathF.Sin(n * 0.17f);

    private static float Hall(int n, Random random) => n < 0 ? 0 : MathF.Exp(-n / 400f) * (2 * (float)random.NextDouble() - 1);
}
