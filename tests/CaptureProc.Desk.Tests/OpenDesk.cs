using CaptureProc.Cli;

namespace CaptureProc.DeskServer.Tests;

/// <summary>A desk in this process over a folder of its own, with the real command line behind it.</summary>
public sealed class OpenDesk : IAsyncDisposable
{
    private readonly TemporaryFolder folder = new();
    private DeskHost? host;

    private OpenDesk()
    {
    }

    public string Folder => folder.Path;

    public DeskHost Host => host!;

    /// <summary>Where it answers, without the key.</summary>
    public string Origin => $"http://127.0.0.1:{Host.Address.Port}";

    public string File(string name) => folder.File(name);

    public static async Task<OpenDesk> Start(Action<OpenDesk>? prepare = null, string? session = null)
    {
        var desk = new OpenDesk();
        prepare?.Invoke(desk);
        desk.host = await DeskHost.StartAsync(new DeskOptions(desk.Folder, Run) { SessionPath = session is null ? null : desk.File(session) });
        return desk;
    }

    /// <summary>A client that has come in by the door.</summary>
    public async Task<HttpClient> Enter()
    {
        var client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false }) { BaseAddress = new Uri(Origin) };
        var answer = await client.GetAsync(Host.Address);
        Assert.Equal(System.Net.HttpStatusCode.SeeOther, answer.StatusCode);
        client.DefaultRequestHeaders.Add("Origin", Origin);
        return client;
    }

    public async ValueTask DisposeAsync()
    {
        await Host.DisposeAsync();
        folder.Dispose();
    }

    public static int Run(string[] words, TextWriter stdout, TextWriter stderr, Action<string, double> watcher) =>
        CommandLineProgram.Run(words, stdout, stderr, isTerminal: false, watcher);

    /// <summary>A command as in a terminal; its exit code is not asked for, only that it did something.</summary>
    public static void Command(params string[] words)
    {
        using StringWriter stdout = new(), stderr = new();
        Assert.NotEqual(2, CommandLineProgram.Run(words, stdout, stderr));
    }
}
