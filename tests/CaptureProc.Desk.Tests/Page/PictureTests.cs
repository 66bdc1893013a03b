using System.Reflection;
using Microsoft.Playwright;

namespace CaptureProc.DeskServer.Tests.Page;

/// <summary>Makes the pictures of the README; run by tests/desk-pictures and by nothing else.</summary>
[Collection(BrowserTests.Name)]
public sealed class PictureTests(Browser browser)
{
    private static readonly string Folder = Path.Combine(
        typeof(PictureTests).Assembly.GetCustomAttributes<AssemblyMetadataAttribute>().Single(a => a.Key == "RepoRoot").Value!, "src/CaptureProc.Desk/pictures");

    [Theory(Explicit = true)]
    [InlineData(ColorScheme.Light)]
    [InlineData(ColorScheme.Dark)]
    public async Task EveryPageIsDrawn(ColorScheme scheme)
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        OpenDesk.Command("mix", desk.File("evening.json"), desk.File("take.wav"), desk.File("mix.wav"));
        var page = await browser.Open(desk, "rig", [], scheme, 1200);
        Directory.CreateDirectory(Folder);
        foreach (var name in new[] { "rig", "line-up", "patch", "slate", "stage", "take", "delivery" })
        {
            await Browser.Go(page, name);
            if (name == "slate")
                await page.ClickAsync("#claps button.link >> nth=3");
            if (name == "delivery")
                await page.WaitForSelectorAsync(".delivery[data-measured]");
            await page.WaitForTimeoutAsync(1500);
            await page.EvaluateAsync("scrollTo(0, 0)");
            await page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(Folder, $"{name}-{scheme.ToString().ToLowerInvariant()}.png") });
        }
        await page.CloseAsync();
    }
}
