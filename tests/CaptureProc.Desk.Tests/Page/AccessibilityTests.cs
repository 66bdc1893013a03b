using Deque.AxeCore.Playwright;
using Microsoft.Playwright;

namespace CaptureProc.DeskServer.Tests.Page;

[Collection(BrowserTests.Name)]
public sealed class AccessibilityTests(Browser browser)
{
    private static readonly string[] Pages = ["rig", "line-up", "patch", "slate", "stage", "take", "delivery"];

    [Theory]
    [InlineData(ColorScheme.Light, 1280)]
    [InlineData(ColorScheme.Dark, 360)]
    public async Task NoPageHasASeriousBarrierAndNoneIsWiderThanItsWindow(ColorScheme scheme, int width)
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        List<string> complaints = [];
        var page = await browser.Open(desk, "slate", complaints, scheme, width);
        var barriers = new List<string>();
        foreach (var name in Pages)
        {
            await Browser.Go(page, name);
            // WCAG 2 by axe-core: what it calls serious or critical keeps somebody out.
            var result = await page.RunAxe();
            barriers.AddRange(result.Violations.Where(v => v.Impact is "serious" or "critical")
                .Select(v => $"{name}: {v.Id}: {string.Join(" | ", v.Nodes.Take(3).Select(n => n.Html))}"));
            var overhang = await page.EvaluateAsync<int>("document.documentElement.scrollWidth - innerWidth");
            if (overhang > 0)
                barriers.Add($"{name}: {overhang} pixels wider than {width}");
        }
        Assert.Equal([], barriers);
        Assert.Equal([], complaints);
        await page.CloseAsync();
    }
}
