using System.Text.Json.Nodes;
using Microsoft.Playwright;

namespace CaptureProc.DeskServer.Tests.Page;

[Collection(BrowserTests.Name)]
public sealed class WholeJobTests(Browser browser)
{
    [Fact]
    public async Task FromAnEmptyFolderToADeliveredMixByMouseGivesWhatTheCommandsGive()
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopyRecordings(d.Folder));
        using var terminal = new TemporaryFolder();
        browser.Demo.CopyRecordings(terminal.Path);
        List<string> complaints = [];
        var page = await browser.Open(desk, "rig", complaints);
        var orders = new List<JsonObject>();
        async Task Run(Func<Task>? act = null) => orders.Add(await Browser.Ordered(page, desk, act ?? (() => page.ClickAsync("#run"))));

        // Rig: the names of the tracks have put the channels in their places; one of them goes out and back again.
        await page.WaitForSelectorAsync(".zone.array .chip[data-channel='4']");
        await page.DragAndDropAsync(".chip[data-channel='5']", "[data-zone=unused]");
        await page.WaitForSelectorAsync("[data-zone=unused] .chip[data-channel='5']");
        await page.DragAndDropAsync(".chip[data-channel='5']", "[data-zone=new-spot]");
        await page.WaitForSelectorAsync(".zone.spot .chip[data-channel='5']");
        await page.SelectOptionAsync(".rig select", new SelectOptionValue { Index = 0 });
        var hanging = await page.EvaluateAsync<string>("[...document.querySelectorAll('.rig select option')].map(o => o.value).find(v => v.endsWith('hanging'))");
        await page.SelectOptionAsync(".rig select", hanging);
        await Run();

        await Browser.Go(page, "line-up");
        await Run();
        await Browser.Go(page, "slate");
        await Run();
        await page.WaitForSelectorAsync("tr[data-clap='0']");
        await Run(() => page.SelectOptionAsync("tr[data-clap='0'] select", new SelectOptionValue { Index = 0 }));
        await Run(() => page.ClickAsync("#undo"));

        await Browser.Go(page, "take");
        await page.EvaluateAsync("() => { const f = document.querySelectorAll('[data-fader]')[2]; f.value = -6; f.dispatchEvent(new Event('input')); }");
        await Run();
        await Browser.Go(page, "delivery");
        await page.WaitForSelectorAsync(".delivery[data-measured]");
        await page.CheckAsync("[data-container=bw64]");
        await Run();
        await page.ClickAsync("[data-what=report]");
        await Run();

        foreach (var order in orders)
        {
            Assert.True((int)order["exitCode"]! < 2, order.ToJsonString());
            Browser.InTerminal(order, terminal.Path, "session.json");
        }
        Assert.Equal(Browser.Timeless(terminal.File("session.json")), Browser.Timeless(desk.File("session.json")));
        foreach (var name in new[] { "mix.wav", "delivery.ambix.wav", "delivery.bw64.wav" })
            Assert.Equal(Samples(terminal.File(name)), Samples(desk.File(name)));
        Assert.True(File.Exists(desk.File("report.html")));
        Assert.DoesNotContain(Directory.GetFiles(desk.Folder), f => f.EndsWith(".part", StringComparison.Ordinal));
        Assert.Equal([], complaints);
        await page.CloseAsync();
    }

    // Not the bytes: a file for delivery says when it was written.
    private static float[] Samples(string path)
    {
        using var input = Wav.WavInput.Open(path);
        var planar = new float[input.ChannelCount][];
        for (var c = 0; c < planar.Length; c++)
            planar[c] = new float[input.FrameCount];
        input.Read(planar, (int)input.FrameCount);
        return [.. planar.SelectMany(c => c)];
    }

    [Fact]
    public async Task ClosingThePageStopsNothingAndStoppingLeavesNothingHalfWritten()
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        var page = await browser.Open(desk, "take", []);
        await page.ClickAsync("#run");
        await page.WaitForSelectorAsync("body[data-jobs=running], body[data-done='1']");
        await page.CloseAsync();
        using var client = await desk.Enter();
        var job = await Door.DoorTests.Ended(client);
        Assert.InRange(job.GetProperty("exitCode").GetInt32(), 0, 1);
        Assert.True(File.Exists(desk.File("mix.wav")));

        File.Delete(desk.File("mix.wav"));
        var board = new Jobs.JobBoard((_, stdout, stderr, watcher) =>
        {
            // Stopped at its first report of progress, whatever that is.
            return OpenDesk.Run(["mix", desk.File("evening.json"), desk.File("take.wav"), desk.File("mix.wav"), "--json"], stdout, stderr, (what, share) => watcher(what, share));
        }, new Events.EventFeed());
        var started = board.Start(new Jobs.CommandOrder { Command = "mix" }, []);
        board.Stop(started.Id);
        while (board.States[^1].ExitCode is null)
            await Task.Delay(20);
        Assert.Equal(2, board.States[^1].ExitCode);
        Assert.DoesNotContain(Directory.GetFiles(desk.Folder), f => Path.GetFileName(f).StartsWith("mix", StringComparison.Ordinal) || f.EndsWith(".part", StringComparison.Ordinal));
    }
}
