using CaptureProc.Session;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class PlanCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void RoomAndDistancesBecomeTheFiguresOfTheTextbook()
    {
        var plan = CommandLine.Run("plan", "--volume", "2000", "--reverberation", "1.2", "--array-distance", "4", "--spot-distance", "0.3,1", "--json").Json;

        // 0.057·√(V/T) and its −4.71 dB at 4 m (Bies, Kuttruff, read via phonometry); the rounded 0.057 is 0.06 dB high.
        Assert.Equal(2.327, (double)plan["criticalDistanceM"]!["omni"]!, 0.02);
        Assert.Equal(4.031, (double)plan["criticalDistanceM"]!["cardioid"]!, 0.035);
        Assert.Equal(-4.71, (double)plan["arrays"]![0]!["directToReverberantDb"]!, 0.07);
        // Cardioid at 0.3 m, 100 Hz: 2.62 dB (Eargle, eq. 4.6, evaluated).
        Assert.Equal(2.62, (double)plan["spots"]![0]!["proximityRise"]![1]!["riseDb"]!, 0.01);
        // 139.860 samples a metre at 20 °C and 48 kHz (ISO 9613-1, read via pyfar).
        Assert.Equal(3.7 * 139.860, (double)plan["delays"]![0]!["samples"]!, 0.01);
        Assert.Equal(3.0 * 139.860, (double)plan["delays"]![1]!["samples"]!, 0.01);
    }

    [Fact]
    public void ColdAirAndAnotherRateChangeTheDelays()
    {
        var plan = CommandLine.Run("plan", "--volume", "500", "--reverberation", "0.8", "--temperature", "0", "--rate", "96000",
            "--array-distance", "2", "--spot-distance", "1", "--json").Json;

        Assert.Equal(2 * 144.890, (double)plan["delays"]![0]!["samples"]!, 0.01);
    }

    [Fact]
    public void WordsAndJsonSayTheSame()
    {
        var words = CommandLine.Run("plan", "--volume", "2000", "--reverberation", "1.2");

        Assert.Equal((0, ""), (words.ExitCode, words.Error));
        Assert.Contains("2.31 m for an omni", words.Out, StringComparison.Ordinal);
        Assert.Contains("377.6 samples, 7.87 ms", words.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void SpotsOfASessionStandWhereTheyWereMeasured()
    {
        var path = folder.File("concert.json");
        CommandLine.Run("start", path, "--array", "main=1-4", "--spot", "shawm=5", "--spot", "bells=6");
        // 2.6 m apart at 20 °C and 48 kHz; the bells were not heard.
        SessionStore.Update(path, s => s with
        {
            Spots = [s.Spots[0] with { DistanceM = 3.1, Delay = new SpotDelay { Samples = 2.6 * 139.860, Confidence = 0.99 } }, s.Spots[1]],
        });

        var plan = CommandLine.Run("plan", path, "--volume", "900", "--reverberation", "1", "--json").Json;

        var shawm = Assert.Single(plan["measured"]!.AsArray())!;
        Assert.Equal("shawm", (string)shawm["spot"]!);
        Assert.Equal(0.5, (double)shawm["distanceM"]!, 1e-3);
        Assert.Empty(plan["arrays"]!.AsArray());
    }

    [Fact]
    public void SessionWithoutMeasurementSaysWhatToDo()
    {
        var path = folder.File("concert.json");
        CommandLine.Run("start", path, "--array", "main=1-4", "--spot", "shawm=5");

        var plan = CommandLine.Run("plan", path, "--volume", "900", "--reverberation", "1");

        Assert.Equal(0, plan.ExitCode);
        Assert.Contains("captureproc measure", plan.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void WhatIsMissingOrWrongIsSaid()
    {
        CommandLine.Refuses("--volume M3 and --reverberation SECONDS", "plan");
        CommandLine.Refuses("add --reverberation SECONDS", "plan", "--volume", "900");
        CommandLine.Refuses("--volume is '0'", "plan", "--volume", "0", "--reverberation", "1");
        CommandLine.Refuses("--spot-distance has '-1'", "plan", "--volume", "900", "--reverberation", "1", "--spot-distance", "0.4,-1");
        CommandLine.Refuses("there is no such session file", "plan", folder.File("none.json"), "--volume", "900", "--reverberation", "1");
    }
}
