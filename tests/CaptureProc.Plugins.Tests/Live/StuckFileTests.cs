using System.Diagnostics;
using System.Runtime.InteropServices;
using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Tests.Live;

/// <summary>A session file that does not answer: a pipe that nobody writes to stands for a stalled network folder.</summary>
public sealed partial class StuckFileTests : IDisposable
{
    // What would hang for good is told from what is merely slow by a wait that no machine needs.
    private static readonly TimeSpan Forever = TimeSpan.FromSeconds(60);

    private readonly LivePlugins plugins = new();
    private readonly string pipe;

    public StuckFileTests()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "pipes as files are made with mkfifo");
        pipe = plugins.Publish(Named("Stuck", 100));
        plugins.Publish(Named("Sound", 120));
        File.Delete(pipe);
        Assert.Equal(0, MakePipe(pipe, 0x180));
    }

    public void Dispose()
    {
        // Whoever still waits at the pipe is let go.
        using (new FileStream(pipe, FileMode.Open, FileAccess.ReadWrite))
        {
        }
        plugins.Dispose();
    }

    [Fact]
    public void NoCallOfAHostWaitsForIt() => WithinReason(() =>
    {
        for (var round = 0; round < 3; round++)
        {
            using var effect = plugins.Create("Array");
            effect.GetState();
            foreach (var parameter in effect.Parameters.Where(p => !p.IsReadOnly))
            {
                effect.TextOf(parameter.Id, 0.5);
                effect.SetNormalized(parameter.Id, 0.5);
            }
            effect.SetState(effect.GetState());
            effect.Start(48000, 64);
            effect.Process(64);
            Thread.Sleep(200);
        }
    });

    [Fact]
    public void DesignsGoOnAndOtherSessionsAreFollowed() => WithinReason(() =>
    {
        using var array = plugins.Start("Array", 256, ("Array from", "By hand"));
        var before = Response(array);
        NativePlugins.Set(array, "Radius", "40");
        // A radius of another size is another sound as soon as its filters are made.
        Wait(() => Playing.DifferenceDb(before, Response(array)) > -80);

        using var spot = plugins.Start("Spot", 256, ("Session", "Sound"), ("Spot", "harp"));
        spot.Process(256);
        Assert.Equal("2.500", NativePlugins.Text(spot, "Delay in use"));
    });

    [Fact]
    public void ItCountsAsMissingUntilItAnswers() => WithinReason(() =>
    {
        using var spot = plugins.Start("Spot", 256, ("Session", "Stuck"));
        // A pipe is no session: it is refused without being read, so nobody waits for it.
        Wait(() => NativePlugins.Text(spot, "Session status") is "File is damaged" or "File is missing");
        // The pipe gives way to a file again, and whoever waits at it is let go.
        var text = pipe + ".new";
        SessionStore.Create(text, Named("Stuck", 240));
        using (new FileStream(pipe, FileMode.Open, FileAccess.ReadWrite))
            File.Move(text, pipe, overwrite: true);
        Wait(() => NativePlugins.Text(spot, "Session status") == "In step");
        // For Dispose.
        File.Delete(pipe);
        Assert.Equal(0, MakePipe(pipe, 0x180));
    });

    private static float[][] Response(Vst3.Hosting.HostedEffect effect) =>
        Playing.Play(effect, [.. Playing.Noise(1, 4096, 3), new float[4096], new float[4096], new float[4096]], 256);

    private static SessionDocument Named(string title, double samples) => new()
    {
        Title = title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch,
        Spots =
        [
            new SpotEntry
            {
                Id = "harp", Channels = [5],
                Delay = new SpotDelay { Samples = samples, Ms = samples / 48, UncertaintySamples = 0.04, Confidence = 0.99 },
            },
        ],
    };

    private static void Wait(Func<bool> condition)
    {
        var waited = Stopwatch.StartNew();
        while (!condition())
        {
            Assert.InRange(waited.Elapsed, TimeSpan.Zero, Forever);
            Thread.Sleep(20);
        }
    }

    private static void WithinReason(Action act)
    {
        Exception? failure = null;
        var thread = new Thread(() =>
        {
            try
            {
                act();
            }
            catch (Exception e)
            {
                failure = e;
            }
        })
        { IsBackground = true };
        thread.Start();
        Assert.True(thread.Join(2 * Forever), "a call of the host waits for the file");
        if (failure is not null)
            throw new InvalidOperationException(failure.Message, failure);
    }

    [LibraryImport("libc", EntryPoint = "mkfifo", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int MakePipe(string path, uint mode);
}
