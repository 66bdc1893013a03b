using CaptureProc.Analysis.LineUp;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Plugins.Tests.Arrays;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Wav;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>What the array plug-in of the built bundle finds while the noise runs, and what it refuses.</summary>
[Collection(NativePlugins.Collection)]
public sealed class LineUpResultTests(NativePlugins plugins)
{
    private static float[][] Recording(string kind) => kind switch
    {
        "at once" => LineUpRecordings.AtOnce(4),
        "in turn" => LineUpRecordings.InTurn(4, repeats: true),
        _ => LineUpRecordings.InTurn(4, repeats: false),
    };

    // What 'captureproc level' reports, from a file of the same samples.
    private static LineUpReport Level(float[][] recording, int reference, double toleranceDb)
    {
        var folder = Directory.CreateTempSubdirectory("captureproc-line-up-");
        try
        {
            var path = Path.Combine(folder.FullName, "noise.wav");
            using (var output = WavOutput.Create(path, new WavOutputFormat(LineUpRecordings.RateHz, 4, SampleFormat.Float32), replace: false))
            {
                output.Write(recording, 0, recording[0].Length);
                output.Complete();
            }
            using var input = WavInput.Open(path);
            return LineUpAnalysis.Report(LineUpListener.Of(input, [1, 2, 3, 4]), [1, 2, 3, 4], reference - 1, toleranceDb);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    [Theory]
    [InlineData("at once", 1, 0.1, LineUpWay.AtOnce)]
    [InlineData("at once", 3, 0.3, LineUpWay.AtOnce)]
    [InlineData("in turn", 1, 0.1, LineUpWay.InTurnSameNoise)]
    [InlineData("in turn, never the same", 2, 0.1, LineUpWay.InTurn)]
    public void DifferencesUncertaintiesAndVerdictsAreThoseOfLevelOnTheSameRecording(string kind, int reference, double toleranceDb, LineUpWay way)
    {
        var recording = Recording(kind);
        var expected = Level(recording, reference, toleranceDb);
        Assert.All(expected.Channels.Where(c => c.Channel != reference), c => Assert.Equal(way, c.Gain.Way));
        using var effect = LineUpHost.Listening(plugins, ("Line-up reference", $"Channel {reference}"), ("Line-up tolerance", toleranceDb.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        LineUpHost.Feed(effect, recording, start => 1 + start % 1000);

        for (var c = 0; c < 4; c++)
        {
            // A meter passes through a number from 0 to 1 of 64 bits: what is left of 60 dB is 1e-14.
            Assert.Equal(expected.Channels[c].Gain.Db, LineUpHost.Differences(effect)[c], 1e-12);
            Assert.Equal(expected.Channels[c].Gain.UncertaintyDb, LineUpHost.Uncertainties(effect)[c], 1e-12);
            Assert.Equal(c + 1 == reference ? "Reference" : Word(expected.Channels[c].Gain.Judge(toleranceDb)), LineUpHost.Verdicts(effect)[c]);
            // How near the truth that comes is level's own matter; here it shows that something was measured at all.
            Assert.Equal(LineUpRecordings.GainsDb[c] - LineUpRecordings.GainsDb[reference - 1], LineUpHost.Differences(effect)[c], 0.2);
        }
        Assert.Equal(
            expected.Verdict switch { ToleranceVerdict.Within => "All within tolerance", ToleranceVerdict.Out => "Out of tolerance", _ => "Cannot tell yet" },
            NativePlugins.Text(effect, "Line-up state"));
        Assert.Equal("Nothing", NativePlugins.Text(effect, "Line-up feed"));
    }

    private static string Word(ToleranceVerdict verdict) => verdict switch
    {
        ToleranceVerdict.Within => "Within",
        ToleranceVerdict.Out => "Out",
        _ => "Cannot tell yet",
    };

    [Fact]
    public void TheResultIsTheSameToTheLastBitForAnyBlockLength()
    {
        double[] Result(Func<int, int> blockFrames)
        {
            using var effect = LineUpHost.Listening(plugins);
            LineUpHost.Feed(effect, LineUpRecordings.InTurn(3, repeats: true), blockFrames);
            return [.. LineUpHost.Differences(effect), .. LineUpHost.Uncertainties(effect)];
        }

        var random = new Random(81);
        var whole = Result(_ => 1024);
        Assert.NotEqual(0, whole[1]);
        Assert.Equal(whole, Result(_ => 64));
        Assert.Equal(whole, Result(_ => random.Next(1, 1025)));
    }

    [Fact]
    public void WhatIsMeasuredAreTheInputsBeforeAnyTrim()
    {
        double[] Result(params (string, string)[] settings)
        {
            using var effect = LineUpHost.Listening(plugins, settings);
            LineUpHost.Feed(effect, LineUpRecordings.AtOnce(2));
            return LineUpHost.Differences(effect);
        }

        Assert.Equal(Result(), Result(("Trim 2", "6"), ("Trim 4", "-3"), ("Polarity 3", "Inverted"), ("Output gain", "-12"), ("Bypass", "On")));
    }

    [Fact]
    public void WhileTheNoiseIsMovedThePanelSaysWhereItIs()
    {
        using var effect = LineUpHost.Listening(plugins);
        var recording = LineUpRecordings.InTurn(2, repeats: true);
        var seen = new List<string>();
        Playing.Play(effect, recording, _ => 1024, start =>
        {
            // The worker of a host keeps up with real time, not with a test that runs ahead of it.
            if (start % (24 * 1024) == 0)
                Thread.Sleep(250);
            var feed = NativePlugins.Text(effect, "Line-up feed");
            if (seen.Count == 0 || seen[^1] != feed)
                seen.Add(feed);
        });
        Assert.Equal(["Channel 1", "Channel 2", "Channel 3", "Channel 4"], seen.Where(f => f != "Nothing"));
    }

    [Fact]
    public void AMicrophoneInARoomIsRefusedAndNothingCanBeKept()
    {
        using var effect = LineUpHost.Listening(plugins);
        LineUpHost.Feed(effect, LineUpRecordings.Room(5));
        Assert.Equal("Refused: this is a microphone in a room, nothing is measured", NativePlugins.Text(effect, "Line-up state"));
        Assert.Equal(new double[4], LineUpHost.Differences(effect));
        Assert.All(LineUpHost.Verdicts(effect), verdict => Assert.Equal("Not measured", verdict));
        Assert.Equal("Not kept: a microphone in a room", LineUpHost.Touch(effect, "Keep line-up"));
        Assert.Equal(new double[4], LineUpHost.KeptTrims(effect));
        Assert.Equal("Trim set", NativePlugins.Text(effect, "Trims from"));
    }

    [Fact]
    public void NoisesOfTheirOwnAreRefused()
    {
        using var effect = LineUpHost.Listening(plugins);
        LineUpHost.Feed(effect, LineUpRecordings.SeparateNoises(4));
        Assert.Equal("Refused: every channel has a noise of its own", NativePlugins.Text(effect, "Line-up state"));
        Assert.Equal("Not kept: not every channel is measured", LineUpHost.Touch(effect, "Keep line-up"));
    }

    [Fact]
    public void AChannelThatClipsIsNamed()
    {
        var recording = LineUpRecordings.AtOnce(3);
        recording[1] = Array.ConvertAll(recording[1], s => Math.Clamp(s, -0.5f, 0.5f));
        using var effect = LineUpHost.Listening(plugins);
        LineUpHost.Feed(effect, recording);
        Assert.Equal("Clipped: turn down", NativePlugins.Text(effect, "Line-up state"));
        Assert.Equal("Clipped", LineUpHost.Verdicts(effect)[1]);
        Assert.Equal("Not kept: a channel is clipped", LineUpHost.Touch(effect, "Keep line-up"));
    }

    [Fact]
    public void AChannelWithoutSignalIsNamedAndAnInvertedOneToo()
    {
        var recording = LineUpRecordings.AtOnce(3);
        Array.Clear(recording[2]);
        recording[3] = Array.ConvertAll(recording[3], s => -s);
        using var effect = LineUpHost.Listening(plugins, ("Line-up tolerance", "0.1"));
        LineUpHost.Feed(effect, recording);
        Assert.Equal(["Reference", "Out", "No signal", "Within, but inverted"], LineUpHost.Verdicts(effect));
        Assert.Equal("Not kept: not every channel is measured", LineUpHost.Touch(effect, "Keep line-up"));
    }

    [Fact]
    public void SwitchedOffItKeepsShowingTheResultAndSwitchedOnItBeginsAnew()
    {
        using var effect = LineUpHost.Listening(plugins);
        LineUpHost.Feed(effect, LineUpRecordings.AtOnce(2));
        var result = LineUpHost.Differences(effect);
        Assert.Equal(LineUpRecordings.GainsDb[2], result[2], 0.01);

        NativePlugins.Set(effect, "Line-up", "Off");
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Line-up state") == "Off");
        LineUpHost.Feed(effect, LineUpRecordings.SeparateNoises(2));
        Assert.Equal(result, LineUpHost.Differences(effect));

        NativePlugins.Set(effect, "Line-up", "On");
        LineUpHost.WaitFor(effect, () => NativePlugins.Text(effect, "Line-up state") == "No signal: feed pink noise");
        Assert.Equal(new double[4], LineUpHost.Differences(effect));
    }

    [Fact]
    public void TheToleranceMayBeMovedWhileItListens()
    {
        using var effect = LineUpHost.Listening(plugins);
        LineUpHost.Feed(effect, LineUpRecordings.AtOnce(3));
        Assert.Equal(["Reference", "Out", "Out", "Within"], LineUpHost.Verdicts(effect));
        NativePlugins.Set(effect, "Line-up tolerance", "0.2");
        LineUpHost.WaitFor(effect, () => LineUpHost.Verdicts(effect) is ["Reference", "Within", "Out", "Within"]);
        NativePlugins.Set(effect, "Line-up reference", "Channel 3");
        LineUpHost.WaitFor(effect, () => LineUpHost.Verdicts(effect)[2] == "Reference");
        Assert.Equal(0.25, LineUpHost.Differences(effect)[0], 0.01);
    }

    [Fact]
    public void NothingIsAllocatedOnTheAudioThreadWhileItListensKeepsAndIsSwitched()
    {
        var before = plugins.Guard();
        using var effect = LineUpHost.Listening(plugins);
        var recording = LineUpRecordings.InTurn(2, repeats: true);
        Playing.Play(effect, recording, start => 1 + start % 777, start =>
        {
            // Often enough that the worker has copies to ask for and switches to follow.
            if (start % 13 == 0)
                Thread.Sleep(2);
            if (start % 97 == 0)
                NativePlugins.Set(effect, "Keep line-up", "On");
            if (start % 211 == 0)
                NativePlugins.Set(effect, "Line-up", NativePlugins.Text(effect, "Line-up") == "On" ? "Off" : "On");
        });
        var after = plugins.Guard();
        Assert.True(after.Calls - before.Calls >= 200, "the library was built without its guard");
        Assert.Equal(0, after.AllocatedBytes - before.AllocatedBytes);
    }

    [Fact]
    public void EightLineUpsAtOnceKeepLessThanAMegabyteOfLinkedObjects()
    {
        var effects = Enumerable.Range(0, 8).Select(_ => LineUpHost.Listening(plugins)).ToList();
        try
        {
            foreach (var effect in effects)
                Playing.Play(effect, LineUpRecordings.AtOnce(0.5), 512);
            var (linked, flat) = plugins.Heap();
            TestContext.Current.SendDiagnosticMessage("8 line-ups: {0} bytes in linked objects, {1} in flat arrays", linked, flat);
            Assert.InRange(linked, 1, 1 << 20);
        }
        finally
        {
            effects.ForEach(effect => effect.Dispose());
        }
    }
}
