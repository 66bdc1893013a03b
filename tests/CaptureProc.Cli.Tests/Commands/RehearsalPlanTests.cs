using CaptureProc.Session;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary><c>captureproc plan SESSION REHEARSAL.wav</c> as a user and a program see it.</summary>
public sealed class RehearsalPlanTests(Rehearsal rehearsal) : IClassFixture<Rehearsal>
{
    [Fact]
    public void MusicThroughTheSpotsReadsTheRatioOfTheHall()
    {
        var result = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--json");

        var plan = result.Json;
        Assert.Equal("spots", (string)plan["toldBy"]!);
        // The hall's own ratio, all frequencies alike; two instruments weigh them their way.
        Assert.Equal(rehearsal.TrueRatioDb, (double)plan["directToReverberantDb"]!, 1.5);
        Assert.InRange((double)plan["uncertaintyDb"]!, 0.3, 1.5);
        Assert.Equal(rehearsal.DistanceM, (double)plan["distanceM"]!, 0.3);
        Assert.Equal(["250", "500", "1000", "2000"], plan["bands"]!.AsArray().Select(b => b!["frequencyHz"]!.ToString()));
        // Both sit 30° off the front: (1 + cos)/(1 − cos) would be 23 dB without a hall.
        Assert.InRange((double)plan["frontOverBackDb"]!, 3, 15);
        Assert.InRange((double)plan["diffuseness"]!, 0.1, 0.7);
    }

    [Fact]
    public void TheSlatesFiguresStandBesideIt()
    {
        var room = rehearsal.Measured.Json["room"]!;
        var slate = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--json").Json["slate"]!;

        Assert.Equal(Rehearsal.ReverberationSeconds, (double)room["reverberationSeconds"]!, 0.1 * Rehearsal.ReverberationSeconds);
        Assert.Equal((double)room["reverberationSeconds"]!, (double)slate["reverberationSeconds"]!);
        Assert.Equal(SessionStore.Read(rehearsal.Session).Room!.C80Db, (double)slate["c80Db"]!);
        Assert.Equal(rehearsal.TrueRatioDb, (double)slate["directToReverberantDb"]!, 1.5);
        Assert.Contains("reverberation time", CommandLine.Run("plan", rehearsal.Session, rehearsal.Take).Out, StringComparison.Ordinal);
    }

    [Fact]
    public void AHallThatOutweighsTheDirectSoundEndsWithExitCodeOneAndTheWayToGo()
    {
        var plan = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--target", "9", "--json");
        var words = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--target", "9");

        Assert.Equal((1, 1), (plan.ExitCode, words.ExitCode));
        Assert.Equal("closer", (string)plan.Json["move"]!);
        // 20 lg of the distances is what is missing.
        var missing = (double)plan.Json["directToReverberantDb"]! - 9;
        Assert.Equal(Math.Pow(10, missing / 20), (double)plan.Json["distanceFactor"]!, 2e-3);
        Assert.Equal((double)plan.Json["distanceM"]! * (double)plan.Json["distanceFactor"]!, (double)plan.Json["wantedDistanceM"]!, 0.02);
        Assert.Contains("move the array about", words.Error, StringComparison.Ordinal);
        Assert.Contains("+9.0 dB over the hall", words.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void ThereIsRoomToStepBackWhereTheDirectSoundLeads()
    {
        var plan = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--target", "-12");

        Assert.Equal((0, ""), (plan.ExitCode, plan.Error));
        Assert.Contains("farther away", plan.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void WithoutMeasuredSpotsTheArrayAloneAnswersAndSaysSo()
    {
        var plan = CommandLine.Run("plan", rehearsal.Start("unmeasured.json"), rehearsal.Take, "--target", "-12", "--json");

        Assert.Equal(0, plan.ExitCode);
        Assert.Equal("array", (string)plan.Json["toldBy"]!);
        Assert.Equal(2, (double)plan.Json["uncertaintyDb"]!);
        Assert.Equal(rehearsal.TrueRatioDb, (double)plan.Json["directToReverberantDb"]!, 4.0);
        Assert.Null(plan.Json["distanceM"]);
        Assert.Contains("captureproc measure", (string)plan.Json["warnings"]![0]!, StringComparison.Ordinal);
    }

    [Fact]
    public void AnArrayThatLooksTheOtherWayIsNoticed()
    {
        var session = rehearsal.Start("turned.json");
        SessionStore.Update(session, s => s with { Arrays = [s.Arrays[0] with { Mount = new MountEntry { YawDeg = 180 } }, .. s.Arrays.Skip(1)] });

        var plan = CommandLine.Run("plan", session, rehearsal.Take, "--target", "-12", "--json");

        Assert.Equal(1, plan.ExitCode);
        Assert.InRange((double)plan.Json["frontOverBackDb"]!, -15, -3);
        Assert.Contains("faces the players", (string)plan.Json["words"]![1]!, StringComparison.Ordinal);
    }

    [Fact]
    public void AnotherArrayThanTheOneTheSpotsWereMeasuredAgainstAnswersAlone()
    {
        var plan = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--array", "oboe", "--target", "-12", "--json").Json;

        Assert.Equal(("oboe", "array"), ((string)plan["array"]!, (string)plan["toldBy"]!));
        // The oboe's own microphone, half a metre away, hears little of the hall.
        Assert.InRange((double)plan["directToReverberantDb"]!, 3, 20);
    }

    [Fact]
    public void AStretchIsCutOutOfTheRecording()
    {
        // The same music after 4 s of silence reads the same as the music alone.
        var late = rehearsal.Write("late.wav", [.. rehearsal.Music.Select(c => new float[4 * 48000].Concat(c).ToArray())]);
        var whole = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--to", "9", "--json").Json;
        var cut = CommandLine.Run("plan", rehearsal.Session, late, "--from", "4", "--to", "13", "--json").Json;

        Assert.Equal((4.0, 13.0), ((double)cut["fromSeconds"]!, (double)cut["toSeconds"]!));
        Assert.Equal((double)whole["levelDbfs"]!, (double)cut["levelDbfs"]!, 0.02);
        Assert.Equal((double)whole["directToReverberantDb"]!, (double)cut["directToReverberantDb"]!, 0.02);
    }

    [Fact]
    public void ChannelsInFilesOfTheirOwnReadAsOneFile()
    {
        var files = rehearsal.Music.Select((c, i) => rehearsal.Write($"channel{i}.wav", [c]));
        var one = CommandLine.Run("plan", rehearsal.Session, rehearsal.Take, "--json");
        var many = CommandLine.Run(["plan", rehearsal.Session, .. files, "--json"]);

        Assert.Equal(one.Out, many.Out);
    }

    [Fact]
    public void UnusableInputIsRefusedAndTheSessionStaysAsItIs()
    {
        var before = File.ReadAllBytes(rehearsal.Session);
        var silent = rehearsal.Write("silent.wav", [.. rehearsal.Music.Select(c => new float[c.Length])]);
        var fast = rehearsal.Write("fast.wav", rehearsal.Music, 96000);
        var narrow = rehearsal.Write("narrow.wav", rehearsal.Music[..3]);
        CommandLine.Refuses("silent from 0.0 to 12.0 s", "plan", rehearsal.Session, silent);
        CommandLine.Refuses("96000", "plan", rehearsal.Session, fast);
        CommandLine.Refuses("channel 4", "plan", rehearsal.Session, narrow);
        CommandLine.Refuses("at least 5 s", "plan", rehearsal.Session, rehearsal.Take, "--to", "3");
        CommandLine.Refuses("--from 99: lies beyond the end", "plan", rehearsal.Session, rehearsal.Take, "--from", "99");
        CommandLine.Refuses("--from 8: has to lie before", "plan", rehearsal.Session, rehearsal.Take, "--from", "8", "--to", "7");
        CommandLine.Refuses("there is no such file", "plan", rehearsal.Session, "none.wav");
        CommandLine.Refuses("no-such-set", "plan", rehearsal.Session, rehearsal.Take, "--trim", "no-such-set");
        CommandLine.Refuses("--volume belongs to the arithmetic", "plan", rehearsal.Session, rehearsal.Take, "--volume", "900");
        CommandLine.Refuses("--target needs a rehearsal recording", "plan", rehearsal.Session, "--target", "3");
        Assert.Equal(before, File.ReadAllBytes(rehearsal.Session));
    }
}
