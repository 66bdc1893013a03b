using CaptureProc.Cli.Frame;

namespace CaptureProc.Cli.Tests.Frame;

public sealed class StallWatchTests
{
    private readonly List<string> said = [];
    private TimeSpan processor, clock;

    [Fact]
    public void MinuteOfTheProcessorWithoutProgressIsSaidOnceWithWhatEachThreadDoes()
    {
        var watch = NewWatch();
        watch.Progress(0.43);
        Pass(processorSeconds: 59, clockSeconds: 59);
        watch.Look();
        Assert.Empty(said);

        Pass(2, 2);
        watch.Look();
        Pass(30, 30);
        watch.Look();

        var line = Assert.Single(said);
        Assert.StartsWith("listening for claps: no progress in 61 s of the processor's time, at 43 %", line, StringComparison.Ordinal);
        if (OperatingSystem.IsLinux())
            Assert.Matches("the main thread (runs|waits)", line);
    }

    [Fact]
    public void CrowdedMachineAloneIsNoStall()
    {
        var watch = NewWatch();
        for (var minute = 0; minute < 60; minute++)
        {
            Pass(processorSeconds: 2, clockSeconds: 60);
            watch.Progress(minute / 60.0 + 0.001);
            watch.Look();
        }

        Assert.Empty(said);
    }

    [Fact]
    public void StandstillIsSaidByTheClock()
    {
        var watch = NewWatch();
        Pass(processorSeconds: 1, clockSeconds: 301);
        watch.Look();

        Assert.Contains("no progress in 5 minutes, in which the processor worked for 1 s", Assert.Single(said), StringComparison.Ordinal);
    }

    private StallWatch NewWatch() => new("listening for claps", said.Add, () => processor, () => clock);

    private void Pass(double processorSeconds, double clockSeconds)
    {
        processor += TimeSpan.FromSeconds(processorSeconds);
        clock += TimeSpan.FromSeconds(clockSeconds);
    }
}
