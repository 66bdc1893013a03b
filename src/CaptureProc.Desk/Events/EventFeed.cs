using System.Threading.Channels;
using Microsoft.AspNetCore.Http;

namespace CaptureProc.DeskServer.Events;

/// <summary>What happens, told to every page that is open (server-sent events).</summary>
/// <remarks>Thread: [any]. A page that does not listen loses the oldest; each event only says that something is worth asking for.</remarks>
internal sealed class EventFeed
{
    private const int KeptEvents = 256;
    private static readonly TimeSpan Heartbeat = TimeSpan.FromSeconds(15);

    private readonly Lock gate = new();
    private readonly List<Channel<string>> listeners = [];
    private bool isClosed;

    /// <param name="json">One event as JSON on one line.</param>
    public void Send(string json)
    {
        lock (gate)
            foreach (var listener in listeners)
                listener.Writer.TryWrite(json);
    }

    public void Close()
    {
        lock (gate)
        {
            isClosed = true;
            foreach (var listener in listeners)
                listener.Writer.TryComplete();
        }
    }

    /// <summary>Writes events to one page until it goes away.</summary>
    public async Task Serve(HttpContext context)
    {
        var mine = Channel.CreateBounded<string>(new BoundedChannelOptions(KeptEvents) { FullMode = BoundedChannelFullMode.DropOldest });
        lock (gate)
        {
            if (isClosed)
                mine.Writer.TryComplete();
            listeners.Add(mine);
        }
        try
        {
            context.Response.ContentType = "text/event-stream";
            await context.Response.WriteAsync(": listening\n\n", context.RequestAborted);
            await context.Response.Body.FlushAsync(context.RequestAborted);
            while (await Next(mine.Reader, context.RequestAborted) is { } line)
            {
                await context.Response.WriteAsync(line, context.RequestAborted);
                await context.Response.Body.FlushAsync(context.RequestAborted);
            }
        }
        catch (OperationCanceledException)
        {
            // The page was closed; nothing that runs stops for that.
        }
        finally
        {
            lock (gate)
                listeners.Remove(mine);
        }
    }

    private static async Task<string?> Next(ChannelReader<string> events, CancellationToken gone)
    {
        using var pause = CancellationTokenSource.CreateLinkedTokenSource(gone);
        pause.CancelAfter(Heartbeat);
        try
        {
            return $"data: {await events.ReadAsync(pause.Token)}\n\n";
        }
        catch (ChannelClosedException)
        {
            return null;
        }
        catch (OperationCanceledException) when (!gone.IsCancellationRequested)
        {
            return ": still here\n\n";
        }
    }
}
