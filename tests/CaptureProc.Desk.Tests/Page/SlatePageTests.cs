using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Session;

namespace CaptureProc.DeskServer.Tests.Page;

[Collection(BrowserTests.Name)]
public sealed class SlatePageTests(Browser browser)
{
    // As lanes.js draws: the column of names, the ruler.
    private const float GutterPixels = 108, RulerPixels = 26;

    [Fact]
    public async Task AFlagDraggedIntoAnotherLaneGivesTheClapToThatSpotAsTheCommandWould()
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        using var beside = new TemporaryFolder();
        browser.Demo.CopySession(beside.Path);
        List<string> complaints = [];
        var page = await browser.Open(desk, "slate", complaints);
        await page.WaitForSelectorAsync("canvas.lanes[data-share='1.00']");

        var session = SessionStore.Read(desk.File("evening.json"));
        var (from, to) = (session.Spots[1], session.Spots[2]);
        var click = session.Clicks.First(c => c.Spot == from.Id);
        var box = (await (await page.QuerySelectorAsync("canvas.lanes"))!.BoundingBoxAsync())!;
        var seconds = WavSeconds(desk.File("slate.wav"));
        var lanes = session.MainArray().Channels.Count + session.Spots.Sum(s => s.Channels.Count);
        var x = box.X + GutterPixels + (float)(click.TimeSeconds / seconds) * (box.Width - GutterPixels);
        float LaneY(SpotEntry spot) => box.Y + RulerPixels
            + (session.MainArray().Channels.Count + session.Spots.TakeWhile(s => s.Id != spot.Id).Sum(s => s.Channels.Count) + 0.5f) * (box.Height - RulerPixels) / lanes;

        var job = await Browser.Ordered(page, desk, async () =>
        {
            await page.Mouse.MoveAsync(x, LaneY(from));
            await page.Mouse.DownAsync();
            await page.Mouse.MoveAsync(x + 1, LaneY(to), new() { Steps = 4 });
            await page.Mouse.UpAsync();
        });

        Assert.Contains($"={to.Id}", (string)job["order"]!["options"]![0]!["value"]!, StringComparison.Ordinal);
        Assert.DoesNotContain($"={from.Id}", (string)job["order"]!["options"]![0]!["value"]!, StringComparison.Ordinal);
        Browser.InTerminal(job, beside.Path, "evening.json");
        Assert.Equal(Browser.Timeless(beside.File("evening.json")), Browser.Timeless(desk.File("evening.json")));
        var clicks = SessionStore.Read(desk.File("evening.json")).Clicks;
        Assert.Equal(2, clicks.Count(c => c.Spot == to.Id));
        Assert.DoesNotContain(clicks, c => c.Spot == from.Id);

        // Undo: the marks as they were, measured again.
        await Browser.Ordered(page, desk, () => page.ClickAsync("#undo"));
        Assert.Equal(1, SessionStore.Read(desk.File("evening.json")).Clicks.Count(c => c.Spot == from.Id));
        Assert.Equal([], complaints);
        await page.CloseAsync();
    }

    [Fact]
    public async Task WhatAnotherProgramMeasuresIsSeenWithoutReloading()
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        List<string> complaints = [];
        var page = await browser.Open(desk, "slate", complaints);
        SessionStore.Update(desk.File("evening.json"), s => s with { Title = "Changed elsewhere" });
        await page.WaitForSelectorAsync("h1:has-text('Changed elsewhere')");
        Assert.Equal([], complaints);
        await page.CloseAsync();
    }

    [Fact]
    public async Task WheelAndKeysGoFromTheWholeFileToSingleSamples()
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        var page = await browser.Open(desk, "slate", []);
        await page.WaitForSelectorAsync("canvas.lanes[data-kind=ranges][data-share='1.00']");
        await page.FocusAsync("canvas.lanes");
        for (var i = 0; i < 30; i++)
            await page.Keyboard.PressAsync("+");
        await page.WaitForSelectorAsync("canvas.lanes[data-kind=samples]");
        var near = double.Parse(await page.GetAttributeAsync("canvas.lanes", "data-drawn") ?? "", CultureInfo.InvariantCulture);
        Assert.True(near > 0);
        await page.HoverAsync("canvas.lanes");
        for (var i = 0; i < 12; i++)
            await page.Mouse.WheelAsync(0, 700);
        await page.WaitForSelectorAsync("canvas.lanes[data-kind=ranges][data-drawn='0']");
        await page.CloseAsync();
    }

    private static double WavSeconds(string path)
    {
        using var input = Wav.WavInput.Open(path);
        return (double)input.FrameCount / input.SampleRateHz;
    }
}
