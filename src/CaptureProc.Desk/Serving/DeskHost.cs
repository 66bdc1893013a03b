using System.Net;
using CaptureProc.DeskServer.Door;
using CaptureProc.DeskServer.Events;
using CaptureProc.DeskServer.Jobs;
using CaptureProc.DeskServer.Serving;
using CaptureProc.DeskServer.Views;
using CaptureProc.DeskServer.Waves;
using CaptureProc.Session;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;

namespace CaptureProc.DeskServer;

/// <summary>The desk: a page on this machine alone, served until it is disposed.</summary>
/// <remarks>Thread: [any]. Listens on 127.0.0.1 only. Disposing stops running jobs; what they had half written is gone.</remarks>
public sealed class DeskHost : IAsyncDisposable
{
    // A page's orders are short; anything longer is none.
    private const long MaxRequestBytes = 1 << 20;

    private readonly WebApplication app;
    private readonly Desktop desktop;

    private DeskHost(WebApplication app, Desktop desktop, Uri address) => (this.app, this.desktop, Address) = (app, desktop, address);

    /// <summary>Where the page is, with the key that opens it.</summary>
    public Uri Address { get; }

    /// <exception cref="UnusableInputException">The folder, the session or the port cannot be used.</exception>
    public static async Task<DeskHost> StartAsync(DeskOptions options)
    {
        ArgumentNullException.ThrowIfNull(options);
        var folder = DeskFolder.Open(options.FolderPath);
        var key = new DeskKey();
        var builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions());
        builder.WebHost.UseKestrelCore();
        builder.WebHost.ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = MaxRequestBytes;
            kestrel.Listen(IPAddress.Loopback, options.Port, listen => listen.Protocols = HttpProtocols.Http1);
        });
        builder.Services.AddRoutingCore();
        var app = builder.Build();
        var feed = new EventFeed();
        var desktop = new Desktop(folder, options, feed, new JobBoard(options.Run, feed), new OverviewShelf(), new PartsShelf());
        var guard = new DoorGuard(key);
        app.Use(guard.Pass);
        app.UseRouting();
        PageRoutes.Map(app, new PageFiles(options.PageFolder));
        DeskRoutes.Map(app, desktop);
        try
        {
            await app.StartAsync();
        }
        catch (IOException e)
        {
            desktop.Dispose();
            await app.DisposeAsync();
            throw new UnusableInputException("port-taken", $"--port {options.Port}: cannot be used ({e.Message.TrimEnd('.')}); give another, or leave it out", e);
        }
        var port = new Uri(app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First()).Port;
        guard.Port = port;
        return new DeskHost(app, desktop, new Uri($"http://127.0.0.1:{port}/?key={key.Token}"));
    }

    public async ValueTask DisposeAsync()
    {
        desktop.Dispose();
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(2));
        await app.StopAsync(patience.Token);
        await app.DisposeAsync();
    }
}
