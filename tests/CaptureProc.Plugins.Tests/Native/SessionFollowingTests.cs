using System.Diagnostics;
using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>The session link of the built bundle: chosen by name, followed, kept when the file is gone.</summary>
[Collection(NativePlugins.Collection)]
public sealed class SessionFollowingTests : IDisposable
{
    private const string Title = "Evening";

    private readonly NativePlugins plugins;
    private readonly string path;
    private bool withdrawn;

    public SessionFollowingTests(NativePlugins plugins)
    {
        this.plugins = plugins;
        path = plugins.Publish(Session);
    }

    private static SessionDocument Session => new()
    {
        Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch,
        Arrays =
        [
            Tetrahedron.Main with
            {
                TrimSets = [new TrimSet { Name = "line-up", Db = [0, 1, -1, 0.5] }, new TrimSet { Name = "by ear", Db = [2, 0, 0, 0] }],
                ActiveTrim = "line-up",
            },
            Tetrahedron.Main with { Id = "high", Channels = [11, 12, 13, 14] },
        ],
        Spots =
        [
            new SpotEntry
            {
                Id = "harp", Channels = [5], Polarity = -1, Direction = new SpotDirection { AzimuthDeg = 90 },
                Delay = new SpotDelay { Samples = 120, Ms = 2.5, UncertaintySamples = 0.04, Confidence = 0.99 },
                Delays = [new ArrayDelay { Array = "high", Samples = 48, Ms = 1, UncertaintySamples = 0.04, Confidence = 0.99, Polarity = 1 }],
            },
            new SpotEntry { Id = "horn", Channels = [6] },
        ],
    };

    public void Dispose()
    {
        if (!withdrawn)
            plugins.Withdraw(Title);
    }

    [Fact]
    public void ASpotIsChosenByTheNamesOfSessionAndSpot()
    {
        using var effect = Harp();
        Assert.Equal((Title, "harp"), (NativePlugins.Text(effect, "Session"), NativePlugins.Text(effect, "Spot")));
        var output = Impulse(effect);
        Assert.Equal(-1f, output[effect.LatencyFrames + 120]);
        Assert.Equal(("In step", "Measured", "2.500"), Status(effect));
    }

    [Fact]
    public void ASpotThatWasNotMeasuredSaysSoAndIsNotDelayed()
    {
        using var effect = plugins.Start("CaptureProc Spot", 256, ("Session", Title), ("Spot", "horn"));
        Assert.Equal(1f, Impulse(effect)[effect.LatencyFrames]);
        Assert.Equal(("In step", "Not measured", "0.000"), Status(effect));
    }

    [Fact]
    public void ASpotLinesUpWithTheArrayThatIsChosenAndTheProjectKeepsTheChoice()
    {
        using var effect = plugins.Start("CaptureProc Spot", 256, ("Session", Title), ("Spot", "harp"), ("Line up with", "high"));
        Assert.Equal(1f, Impulse(effect)[effect.LatencyFrames + 48]);
        Assert.Equal(("In step", "Measured", "1.000"), Status(effect));
        var state = effect.GetState();
        using var later = plugins.Create("CaptureProc Spot");
        later.SetState(state);
        later.Start(NativePlugins.SampleRateHz, 256, Vst3.Abi.ProcessMode.Realtime);
        Assert.Equal(1f, Impulse(later)[later.LatencyFrames + 48]);
        Assert.Equal("high", NativePlugins.Text(later, "Line up with"));
        NativePlugins.Set(later, "Line up with", "Main array");
        Impulse(later);
        Assert.Equal(-1f, Impulse(later)[later.LatencyFrames + 120]);
    }

    [Fact]
    public void ANewDelayInTheFileIsPlayedWithinTwoSeconds()
    {
        using var effect = Harp();
        Assert.Equal(-1f, Impulse(effect)[effect.LatencyFrames + 120]);
        SetDelay(240);
        var waited = Stopwatch.StartNew();
        while (NativePlugins.Text(effect, "Delay in use") != "5.000" && waited.Elapsed < TimeSpan.FromSeconds(20))
        {
            Thread.Sleep(20);
            effect.Process(256);
        }
        // The bound is the promise to the user, not a measure of speed.
        Assert.InRange(waited.Elapsed, TimeSpan.Zero, TimeSpan.FromSeconds(2));
        Impulse(effect);
        Assert.Equal(-1f, Impulse(effect)[effect.LatencyFrames + 240]);
    }

    [Fact]
    public void WithFollowOffTheValuesStayUntilItIsTurnedOn()
    {
        using var effect = Harp();
        NativePlugins.Set(effect, "Follow session", "Off");
        effect.Process(256);
        SetDelay(240);
        WaitFor(effect, () => Status(effect).Session == "File has changed");
        Assert.Equal("2.500", Status(effect).DelayMs);
        NativePlugins.Set(effect, "Follow session", "On");
        WaitFor(effect, () => Status(effect).DelayMs == "5.000");
        Assert.Equal("In step", Status(effect).Session);
    }

    [Fact]
    public void ASavedProjectPlaysTheSameWhenTheSessionIsGone()
    {
        byte[] state;
        float[] expected;
        using (var effect = Harp())
        {
            state = effect.GetState();
            expected = Impulse(effect);
        }
        plugins.Withdraw(Title);
        withdrawn = true;
        // The catalogue goes with the last instance, so the next one looks afresh.
        using var later = plugins.Create("CaptureProc Spot");
        later.SetState(state);
        later.Start(NativePlugins.SampleRateHz, 256, Vst3.Abi.ProcessMode.Realtime);
        Assert.Equal(expected, Impulse(later));
        WaitFor(later, () => Status(later) == ("File is missing", "Measured", "2.500"));
        Assert.Equal((Title, "harp"), (NativePlugins.Text(later, "Session"), NativePlugins.Text(later, "Spot")));
    }

    [Fact]
    public void ASavedProjectKeepsItsValuesWhenTheFileHasOthers()
    {
        byte[] state;
        using (var effect = Harp())
            state = effect.GetState();
        SetDelay(240);
        using var later = plugins.Create("CaptureProc Spot");
        later.SetState(state);
        later.Start(NativePlugins.SampleRateHz, 256, Vst3.Abi.ProcessMode.Realtime);
        later.Process(256);
        // Following is on in the saved project, so what it does next is take the file's value; what it opened with was the saved one.
        Assert.Contains(Status(later), new[]
        {
            ("File is missing", "Measured", "2.500"), ("File has changed", "Measured", "2.500"), ("In step", "Measured", "5.000"),
        });
        WaitFor(later, () => Status(later).DelayMs == "5.000");
    }

    [Fact]
    public void AHostsThirtyTwoBitCopyOfTheValuesMeansTheSame()
    {
        // Hosts save each value as a 32-bit float beside the state and send it again after loading.
        using var effect = Harp();
        var state = effect.GetState();
        var copies = effect.Parameters.Where(p => !p.IsReadOnly).Select(p => (p.Id, (double)(float)effect.GetNormalized(p.Id))).ToList();
        using var later = plugins.Create("CaptureProc Spot");
        later.SetState(state);
        later.Start(NativePlugins.SampleRateHz, 256, Vst3.Abi.ProcessMode.Realtime);
        foreach (var (id, value) in copies)
            later.SetNormalized(id, value);
        Assert.Equal(-1f, Impulse(later)[later.LatencyFrames + 120], 1e-6);
        Assert.Equal((Title, "harp"), (NativePlugins.Text(later, "Session"), NativePlugins.Text(later, "Spot")));
    }

    [Fact]
    public void TheArrayPlaysTheSessionsTrims()
    {
        float[][] Play(params (string, string)[] settings)
        {
            using var effect = plugins.Start("CaptureProc Array", 256, settings);
            // The session is read beside the host's calls: its trims are there a little later.
            for (var i = 0; i < 200; i++)
            {
                effect.Process(256);
                Thread.Sleep(5);
            }
            return Playing.Play(effect, Playing.Noise(4, 2000, 61), 256);
        }

        var byHand = Play(("Trim 2", "1"), ("Trim 3", "-1"), ("Trim 4", "0.5"));
        Assert.InRange(Playing.DifferenceDb(byHand, Play(("Session", Title))), double.NegativeInfinity, -130);
        Assert.InRange(Playing.DifferenceDb(byHand, Play(("Session", Title), ("Trim set", "line-up"))), double.NegativeInfinity, -130);
        Assert.InRange(Playing.DifferenceDb(Play(), Play(("Session", Title), ("Trim set", "As recorded"))), double.NegativeInfinity, -130);
        Assert.InRange(Playing.DifferenceDb(Play(("Trim 1", "2")), Play(("Session", Title), ("Trim set", "by ear"))), double.NegativeInfinity, -130);
    }

    [Fact]
    public void SwitchingTrimSetsDoesNotClick()
    {
        using var effect = plugins.Start("CaptureProc Array", 128, ("Session", Title), ("Correction", "None"));
        var omega = 2 * Math.PI * 500 / NativePlugins.SampleRateHz;
        var input = new float[12000];
        for (var n = 0; n < input.Length; n++)
            input[n] = (float)(0.5 * Math.Sin(omega * n));
        var output = Playing.Play(effect, [input, input, input, input], _ => 128, start =>
        {
            if (start == 128 * 40)
                NativePlugins.Set(effect, "Trim set", "by ear");
            if (start == 128 * 60)
                NativePlugins.Set(effect, "Bypass", "On");
        });
        // A sine obeys this recurrence; a gain that glides over 960 frames adds its slope times the change, 1 at most; a click adds up to 1.
        foreach (var channel in output)
            for (var n = 1000; n < channel.Length - 1; n++)
                Assert.InRange(Math.Abs(channel[n + 1] - 2 * Math.Cos(omega) * channel[n] + channel[n - 1]), 0, 1.1 / 960);
    }

    private HostedEffect Harp() => plugins.Start("CaptureProc Spot", 256, ("Session", Title), ("Spot", "harp"));

    private static float[] Impulse(HostedEffect effect)
    {
        var impulse = new float[4096];
        impulse[0] = 1;
        return Playing.Play(effect, [impulse], 256)[0];
    }

    private static (string Session, string Spot, string DelayMs) Status(HostedEffect effect) =>
        (NativePlugins.Text(effect, "Session status"), NativePlugins.Text(effect, "Spot status"), NativePlugins.Text(effect, "Delay in use"));

    private void SetDelay(double samples) => SessionStore.Update(path, s => s with
    {
        Spots = [s.Spots[0] with { Delay = s.Spots[0].Delay! with { Samples = samples, Ms = samples / 48 } }, s.Spots[1]],
    });

    private static void WaitFor(HostedEffect effect, Func<bool> condition)
    {
        var waited = Stopwatch.StartNew();
        while (!condition() && waited.Elapsed < TimeSpan.FromSeconds(20))
        {
            Thread.Sleep(20);
            effect.Process(256);
        }
        Assert.True(condition());
    }
}
