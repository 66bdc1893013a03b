using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Microsoft.Playwright;

namespace CaptureProc.DeskServer.Tests.Page;

/// <summary>Debian's chromium, once for all pages, and the demo's evening.</summary>
public sealed class Browser : IAsyncLifetime
{
    private const float PatienceMs = 120_000;

    private IPlaywright playwright = null!;
    private IBrowser chromium = null!;

    public DemoFolder Demo { get; private set; } = null!;

    public async ValueTask InitializeAsync()
    {
        Demo = new DemoFolder();
        playwright = await Playwright.CreateAsync();
        chromium = await playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions
        {
            ExecutablePath = "/usr/bin/chromium",
            Args = ["--no-sandbox", "--autoplay-policy=no-user-gesture-required", "--mute-audio"],
        });
    }

    public async ValueTask DisposeAsync()
    {
        await chromium.DisposeAsync();
        playwright.Dispose();
        Demo.Dispose();
    }

    /// <summary>A page of the desk, by its name, drawn and ready; whatever the browser complains of goes to <paramref name="complaints"/>.</summary>
    public async Task<IPage> Open(OpenDesk desk, string name, List<string> complaints, ColorScheme scheme = ColorScheme.Light, int width = 1280)
    {
        var page = await chromium.NewPageAsync(new BrowserNewPageOptions { ColorScheme = scheme, ViewportSize = new ViewportSize { Width = width, Height = 900 } });
        page.SetDefaultTimeout(PatienceMs);
        page.Console += (_, message) =>
        {
            if (message.Type is "error" or "warning")
                complaints.Add(message.Text);
        };
        page.PageError += (_, error) => complaints.Add(error);
        await page.GotoAsync(desk.Host.Address.ToString());
        await page.WaitForSelectorAsync("body[data-ready=true]");
        await Go(page, name);
        return page;
    }

    public static async Task Go(IPage page, string name)
    {
        await page.ClickAsync($"nav a[href='#{name}']");
        await page.WaitForSelectorAsync($"main[data-page='{name}'] .page[data-state=ready]");
    }

    /// <summary>Does something that gives an order, and waits until it is carried out.</summary>
    /// <returns>The job.</returns>
    public static async Task<JsonObject> Ordered(IPage page, OpenDesk desk, Func<Task> act)
    {
        var before = int.Parse(await page.GetAttributeAsync("body", "data-done") ?? "0", CultureInfo.InvariantCulture);
        await act();
        await page.WaitForSelectorAsync(FormattableString.Invariant($"body[data-jobs=idle][data-done='{before + 1}']"));
        using var client = await desk.Enter();
        var state = JsonNode.Parse(await client.GetStringAsync("/api/state"))!;
        return state["jobs"]!.AsArray()[^1]!.AsObject();
    }

    /// <summary>The same order as in a terminal, on files of another folder.</summary>
    public static void InTerminal(JsonObject job, string folder, string session)
    {
        var order = job["order"]!;
        string Name(JsonNode? name) => Path.Combine(folder, (string)name!);
        string[] words =
        [
            (string)order["command"]!,
            .. (string)order["command"]! == "start" ? [] : new[] { Path.Combine(folder, session) },
            .. order["inputs"]!.AsArray().Select(Name),
            .. order["output"] is { } output ? [Name(output)] : Array.Empty<string>(),
            .. order["options"]!.AsArray().SelectMany(o => o!["value"] is { } value
                ? [(string)o["name"]!, (string)o["name"]! is "--from" or "--recording" ? Name(value) : (string)value!]
                : new[] { (string)o["name"]! }),
        ];
        OpenDesk.Command(words);
    }

    /// <summary>A session without the times at which it was written.</summary>
    public static string Timeless(string path)
    {
        var session = JsonNode.Parse(File.ReadAllBytes(path))!.AsObject();
        session.Remove("created");
        session.Remove("modified");
        foreach (var entry in session["history"]!.AsArray())
            entry!.AsObject().Remove("at");
        foreach (var array in session["arrays"]!.AsArray())
            (array!["patch"] as JsonObject)?.Remove("at");
        return session.ToJsonString(new JsonSerializerOptions { WriteIndented = true });
    }
}

/// <summary>All tests that need the browser share it.</summary>
[CollectionDefinition(Name)]
public sealed class BrowserTests : ICollectionFixture<Browser>
{
    public const string Name = "browser";
}
