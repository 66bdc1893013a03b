using System.Buffers.Binary;
using CaptureProc.Cli;
using CaptureProc.Plugins.Tests.Arrays;
using CaptureProc.Session;
using CaptureProc.Session.Published;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Wav;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>A line-up that is kept: played, saved in the host's project, written to the session file.</summary>
[Collection(NativePlugins.Collection)]
public sealed class LineUpKeepingTests : IDisposable
{
    private const string Title = "Line-up evening";

    private readonly NativePlugins plugins;
    private readonly string session;

    public LineUpKeepingTests(NativePlugins plugins)
    {
        this.plugins = plugins;
        session = plugins.Publish(Session);
    }

    private static SessionDocument Session => new()
    {
        Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch,
        Arrays =
        [
            Tetrahedron.Main,
        ],
    };

    public void Dispose() => plugins.Withdraw(Title);

    [Fact]
    public void AKeptLineUpPlaysAtOnceWhereNoOtherTrimsDo()
    {
        using var effect = LinedUp();
        Assert.Equal("Trim set", NativePlugins.Text(effect, "Trims from"));
        Assert.Equal("Kept in the project", LineUpHost.Touch(effect, "Keep line-up"));
        Assert.Equal("Kept line-up", NativePlugins.Text(effect, "Trims from"));
        var trims = LineUpHost.KeptTrims(effect);
        for (var c = 0; c < 4; c++)
            Assert.Equal(-LineUpRecordings.GainsDb[c], trims[c], 0.002);

        // Against a gain computed here, through a conversion that is a matrix of numbers.
        using var plain = plugins.Start("CaptureProc Array", 1024, ("Correction", "None"));
        NativePlugins.Set(effect, "Correction", "None");
        var noise = Playing.Noise(4, 6000, 91);
        var trimmed = noise.Select((channel, c) => Array.ConvertAll(channel, s => (float)(s * Math.Pow(10, trims[c] / 20)))).ToArray();
        Playing.Play(effect, new float[4][].Select(_ => new float[48000]).ToArray(), 1024);
        Assert.InRange(Playing.DifferenceDb(Playing.Play(plain, trimmed, 1024), Playing.Play(effect, noise, 1024)), double.NegativeInfinity, -120);
    }

    [Fact]
    public void ATrimSetThatTheSessionCallsActiveStaysInUse()
    {
        SessionStore.Update(session, s => s.WithTrims("main", new TrimSet { Name = "by ear", Db = [0, 1, 0, 0] }, isActive: true, new HistoryEntry { Command = "level" }));
        using var effect = LinedUp(("Session", Title));
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Session status") == "In step");
        Assert.Equal("Kept in the project", LineUpHost.Touch(effect, "Keep line-up"));
        Assert.Equal("Trim set", NativePlugins.Text(effect, "Trims from"));
    }

    [Fact]
    public void AProjectBringsTheKeptLineUpBackAndSoundsTheSame()
    {
        byte[] state;
        double[] trims;
        float[][] expected;
        var noise = Playing.Noise(4, 6000, 92);
        using (var effect = LinedUp(("Session", Title)))
        {
            LineUpHost.Touch(effect, "Keep line-up");
            NativePlugins.Set(effect, "Line-up", "Off");
            LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Line-up state") == "Off");
            (trims, state) = (LineUpHost.KeptTrims(effect), effect.GetState());
            effect.Stop();
            effect.Start(NativePlugins.SampleRateHz, 1024, ProcessMode.Realtime);
            expected = Playing.Play(effect, noise, 1024);
        }
        using var later = plugins.Create("CaptureProc Array");
        later.SetState(state);
        Assert.Equal(state, later.GetState());
        later.Start(NativePlugins.SampleRateHz, 1024, ProcessMode.Realtime);
        Assert.Equal(expected, Playing.Play(later, noise, 1024));
        Assert.Equal(trims, LineUpHost.KeptTrims(later));
        Assert.Equal(("Kept in the project", "Off"), (NativePlugins.Text(later, "Line-up kept"), NativePlugins.Text(later, "Line-up state")));
    }

    [Fact]
    public void AProjectFromBeforeThereWereLineUpsOpensWithNoneAndSoundsTheSame()
    {
        var noise = Playing.Noise(4, 3000, 93);
        using var effect = plugins.Start("CaptureProc Array", 256, ("Session", Title), ("Trim 2", "3"), ("Format", "FuMa"), ("Turn: yaw", "40"));
        var expected = Playing.Play(effect, noise, 256);
        using var later = plugins.Create("CaptureProc Array");
        later.SetState(WithoutLineUp(effect.GetState()));
        later.Start(NativePlugins.SampleRateHz, 256, ProcessMode.Realtime);
        Assert.Equal(expected, Playing.Play(later, noise, 256));
        Assert.Equal(("Nothing kept", "Trim set", "0.10"), (NativePlugins.Text(later, "Line-up kept"), NativePlugins.Text(later, "Trims from"), NativePlugins.Text(later, "Line-up tolerance")));
    }

    // The bytes that a version with parameters 0 to 34 wrote: those pairs, then the session link to the end.
    private static byte[] WithoutLineUp(byte[] state)
    {
        const int head = 12, pair = 12, parameters = 35;
        var count = BinaryPrimitives.ReadInt32LittleEndian(state.AsSpan(head));
        Assert.True(count > parameters);
        byte[] pairs = state[(head + 4)..(head + 4 + parameters * pair)], rest = state[(head + 4 + count * pair)..];
        var old = new byte[head + 4 + pairs.Length + rest.Length];
        state.AsSpan(0, head).CopyTo(old);
        BinaryPrimitives.WriteInt32LittleEndian(old.AsSpan(8), old.Length - head);
        BinaryPrimitives.WriteInt32LittleEndian(old.AsSpan(head), parameters);
        pairs.CopyTo(old, head + 4);
        rest.CopyTo(old, head + 4 + pairs.Length);
        return old;
    }

    [Fact]
    public void WrittenToTheSessionItIsWhatLevelWouldHaveWritten()
    {
        using var effect = LinedUp(("Session", Title), ("Line-up reference", "Channel 2"), ("Line-up tolerance", "0.15"));
        Assert.Equal("Kept in the project", LineUpHost.Touch(effect, "Keep line-up"));
        NativePlugins.Set(effect, "Write line-up to session", "On");
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Line-up kept") == "Written to the session");

        var byLevel = Path.ChangeExtension(session, ".level.json");
        SessionStore.Create(byLevel, Session);
        var recording = Path.ChangeExtension(session, ".wav");
        try
        {
            using (var output = WavOutput.Create(recording, new WavOutputFormat(LineUpRecordings.RateHz, 4, SampleFormat.Float32), replace: false))
            {
                output.Write(Noise, 0, Noise[0].Length);
                output.Complete();
            }
            Assert.Equal(1, CommandLineProgram.Run(["level", byLevel, recording, "--reference", "2", "--tolerance", "0.15"], TextWriter.Null, TextWriter.Null));
            ArrayEntry expected = SessionStore.Read(byLevel).MainArray(), written = SessionStore.Read(session).MainArray();
            Assert.Equal("line-up", written.ActiveTrim);
            Assert.Equal(expected.ActiveTrim, written.ActiveTrim);
            TrimSet theirs = Assert.Single(expected.TrimSets), ours = Assert.Single(written.TrimSets);
            Assert.Equal((theirs.Name, theirs.Source, theirs.ToleranceDb), (ours.Name, ours.Source, ours.ToleranceDb));
            Assert.Equal(theirs.Db, ours.Db);
            Assert.Equal(theirs.UncertaintyDb, ours.UncertaintyDb);
            Assert.Equal("line-up in the plug-in", SessionStore.Read(session).History[^1].Command);
        }
        finally
        {
            File.Delete(byLevel);
            File.Delete(recording);
        }
        // It comes back as a set of the session, for every instance that follows.
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Session status") == "In step"
            && effect.TryParse(NativePlugins.Parameter(effect, "Trim set").Id, "line-up", out _));
    }

    [Fact]
    public void WhatCannotBeWrittenIsSaidAndTheFileStaysAsItIs()
    {
        var before = File.ReadAllBytes(session);
        using var effect = LinedUp();
        Assert.Equal("Not written: keep a line-up first", LineUpHost.Touch(effect, "Write line-up to session"));
        LineUpHost.Touch(effect, "Keep line-up");
        Assert.Equal("Not written: no session is chosen", LineUpHost.Touch(effect, "Write line-up to session"));
        NativePlugins.Set(effect, "Session", Title);
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Session status") == "In step");
        Assert.Equal(before, File.ReadAllBytes(session));

        File.WriteAllText(session, "{ \"format\": \"captureproc-session\", \"version\": 99 }");
        NativePlugins.Set(effect, "Write line-up to session", "On");
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Line-up kept") == "Not written: the file is missing, damaged or newer");
        Assert.Equal("{ \"format\": \"captureproc-session\", \"version\": 99 }", File.ReadAllText(session));
    }

    [Fact]
    public void AWithdrawnSessionIsNotWrittenTo()
    {
        using var effect = LinedUp(("Session", Title));
        LineUpHost.Touch(effect, "Keep line-up");
        PublishedSessions.Withdraw(Title, plugins.Published);
        var before = File.ReadAllBytes(session);
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Session status") == "File is missing");
        Assert.Equal("Not written: the file is missing, damaged or newer", LineUpHost.Touch(effect, "Write line-up to session"));
        Assert.Equal(before, File.ReadAllBytes(session));
        PublishedSessions.Publish(session, plugins.Published);
    }

    [Fact]
    public unsafe void AutomationThatPassesOverTheButtonsDoesNothing()
    {
        using var effect = LinedUp(("Session", Title));
        var before = File.ReadAllBytes(session);
        foreach (var title in new[] { "Keep line-up", "Write line-up to session", "Take preset" })
        {
            var id = NativePlugins.Parameter(effect, title).Id;
            effect.AddPoint(id, 0, 1);
            // As some hosts do with every value that automation plays.
            effect.Controller->Table->SetParamNormalized(effect.Controller, id, 1);
        }
        effect.Process(256);
        Thread.Sleep(300);
        effect.Process(256);
        Assert.Equal("Nothing kept", NativePlugins.Text(effect, "Line-up kept"));
        Assert.Equal("Session", NativePlugins.Text(effect, "Array from"));
        Assert.Equal(before, File.ReadAllBytes(session));
        // With something kept, the same touch by a hand does write.
        Assert.Equal("Kept in the project", LineUpHost.Touch(effect, "Keep line-up"));
        effect.Controller->Table->SetParamNormalized(effect.Controller, NativePlugins.Parameter(effect, "Write line-up to session").Id, 1);
        Thread.Sleep(300);
        Assert.Equal(before, File.ReadAllBytes(session));
        NativePlugins.Set(effect, "Write line-up to session", "On");
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Line-up kept") == "Written to the session");
        Assert.NotEqual(before, File.ReadAllBytes(session));
    }

    private static float[][] Noise { get; } = LineUpRecordings.AtOnce(3);

    private HostedEffect LinedUp(params (string, string)[] settings)
    {
        var effect = LineUpHost.Listening(plugins, settings);
        LineUpHost.Feed(effect, Noise);
        return effect;
    }
}
