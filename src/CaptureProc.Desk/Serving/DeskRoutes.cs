using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.Json;
using System.Text.Json.Serialization.Metadata;
using CaptureProc.DeskServer.Jobs;
using CaptureProc.DeskServer.Serving;
using CaptureProc.DeskServer.Views;
using CaptureProc.DeskServer.Waves;
using CaptureProc.Dsp.Design;
using CaptureProc.Session;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace CaptureProc.DeskServer;

/// <summary>What the page asks for. Reads are GET and change nothing; everything else is a command of the command line.</summary>
internal static class DeskRoutes
{
    // A stretch of sound: two seconds of 48 channels at 48 kHz are 18 MB.
    private const int MostFrames = 1 << 18;

    private static readonly DeskJson Json = DeskJson.Default;

    public static void Map(IEndpointRouteBuilder routes, Desktop desktop)
    {
        routes.MapGet("/api/events", desktop.Feed.Serve);
        Get("/api/state", _ => Reply(DeskState.Of(desktop), Json.DeskState));
        Get("/api/wave", request => Bytes(Wave(desktop, request)));
        Get("/api/clap", request => Reply(
            ClapView.Of(desktop.ReadSession(), Recordings(desktop, request), Text(request, "spot") ?? "", Number(request, "seconds", 0)), Json.ClapView));
        Get("/api/parts", request => Reply(
            desktop.Parts.Use(desktop.RequireSession(), Parts(desktop, request), (session, parts) => PartsView.Of(session, Parts(desktop, request), parts)), Json.PartsView));
        Get("/api/audio", request => Bytes(Audio(desktop, request)));
        Get("/api/head", request => Bytes(PartsView.Head(Order(request), (int)Number(request, "rate", 48000))));
        Get("/api/spectra", request => Reply(SpectraView.Of(desktop.ReadSession(), Recordings(desktop, request), Text(request, "array")), Json.SpectraView));
        Get("/api/loudness", request => Reply(LoudnessView.Of(desktop.Folder.Existing(Text(request, "mix") ?? "")), Json.LoudnessView));
        Get("/files/{**name}", request => Report(desktop, request));

        Post("/api/orders", async request =>
        {
            var order = await Read(request, Json.CommandOrder);
            var job = desktop.Jobs.Start(order, CommandRules.Words(order, desktop.Folder, desktop.SessionPath));
            // A session that is being started lies on the desk from then on.
            if (order.Command == "start")
                desktop.SessionPath = desktop.Folder.ForOutput(order.Output!);
            return Reply(new JobEvent("job", job), Json.JobEvent);
        });
        Post("/api/jobs/{id:int}/stop", request => Task.FromResult(
            desktop.Jobs.Stop(int.Parse((string)request.RouteValues["id"]!, CultureInfo.InvariantCulture)) ? Nothing : Missing("there is no such job")));
        Post("/api/session", async request =>
        {
            desktop.SessionPath = desktop.Folder.Existing((await Read(request, Json.SessionChoice)).File);
            return Nothing;
        });

        void Get(string path, Func<HttpRequest, Answer> answer)
        {
            routes.MapGet(path, (RequestDelegate)Handle);

            Task Handle(HttpContext context) => Serve(context, () => Task.Run(() => answer(context.Request)));
        }

        void Post(string path, Func<HttpRequest, Task<Answer>> answer)
        {
            routes.MapPost(path, (RequestDelegate)Handle);

            Task Handle(HttpContext context) => Serve(context, () => answer(context.Request));
        }
    }

    private static byte[] Wave(Desktop desktop, HttpRequest request)
    {
        var paths = Recordings(desktop, request);
        return WaveView.Of((long)Number(request, "first", 0), (long)Number(request, "frames", 1), (int)Number(request, "columns", 1))
            .Draw(paths, desktop.Overviews.Of(paths));
    }

    private static byte[] Audio(Desktop desktop, HttpRequest request)
    {
        var (first, frames) = ((long)Number(request, "first", 0), (int)Number(request, "frames", 0));
        if (first < 0 || frames is < 1 or > MostFrames)
            throw new UnusableInputException("bad-order", $"a stretch of {frames} frames from {first} cannot be had; ask for 1 to {MostFrames} from 0 on");
        return desktop.Parts.Use(desktop.RequireSession(), Parts(desktop, request), (_, parts) =>
        {
            var planar = new float[parts.ChannelCount][];
            for (var c = 0; c < planar.Length; c++)
                planar[c] = new float[frames];
            parts.Read(first, planar, frames);
            var bytes = new byte[planar.Length * frames * sizeof(float)];
            for (var c = 0; c < planar.Length; c++)
                MemoryMarshal.AsBytes(planar[c].AsSpan()).CopyTo(bytes.AsSpan(c * frames * sizeof(float)));
            return bytes;
        });
    }

    private static PartsOrder Parts(Desktop desktop, HttpRequest request) => new(
        Recordings(desktop, request), Text(request, "trim"),
        Text(request, "correction") switch
        {
            "none" => Correction.None,
            "live" => Correction.Live,
            "full" or null => Correction.Full,
            _ => throw new UnusableInputException("bad-order", "correction has to be none, live or full"),
        },
        Order(request), Number(request, "later", 0), Text(request, "aligned") != "0");

    private static int Order(HttpRequest request) => Number(request, "order", 1) is var order and (1 or 2 or 3)
        ? (int)order
        : throw new UnusableInputException("bad-order", "the order of a field is 1, 2 or 3");

    private static IReadOnlyList<string> Recordings(Desktop desktop, HttpRequest request) => request.Query["rec"] is { Count: > 0 and <= 64 } names
        ? [.. names.Select(name => desktop.Folder.Existing(name ?? ""))]
        : throw new UnusableInputException("no-input", "no recording is chosen");

    private static string? Text(HttpRequest request, string name) => request.Query[name] is [{ Length: > 0 } text] ? text : null;

    private static double Number(HttpRequest request, string name, double otherwise) => Text(request, name) is not { } text ? otherwise
        : double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && Math.Abs(value) < 1L << 50 ? value
        : throw new UnusableInputException("bad-order", $"{name} is no number");

    /// <summary>A report that was written into the folder. It has styles of its own and no script, and gets no access to the desk.</summary>
    private static Answer Report(Desktop desktop, HttpRequest request)
    {
        var name = (string?)request.RouteValues["name"] ?? "";
        if (!name.EndsWith(".html", StringComparison.OrdinalIgnoreCase))
            return Missing("the desk shows reports only");
        return new Answer(StatusCodes.Status200OK, "text/html; charset=utf-8", File.ReadAllBytes(desktop.Folder.Existing(name)))
        {
            Policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox",
        };
    }

    private sealed record Answer(int Status, string Type, byte[] Body)
    {
        public string? Policy { get; init; }
    }

    private static readonly Answer Nothing = new(StatusCodes.Status204NoContent, "", []);

    private static Answer Bytes(byte[] body) => new(StatusCodes.Status200OK, "application/octet-stream", body);

    private static Answer Reply<T>(T value, JsonTypeInfo<T> type) => new(StatusCodes.Status200OK, "application/json; charset=utf-8", JsonSerializer.SerializeToUtf8Bytes(value, type));

    private static Answer Missing(string message) => Reply(new Refusal("missing", message), Json.Refusal) with { Status = StatusCodes.Status404NotFound };

    private static async Task<T> Read<T>(HttpRequest request, JsonTypeInfo<T> type)
    {
        try
        {
            return await JsonSerializer.DeserializeAsync(request.Body, type, request.HttpContext.RequestAborted)
                ?? throw new UnusableInputException("bad-order", "the order is empty");
        }
        catch (JsonException e)
        {
            throw new UnusableInputException("bad-order", "the order cannot be read", e);
        }
    }

    private static async Task Serve(HttpContext context, Func<Task<Answer>> work)
    {
        Answer answer;
        try
        {
            answer = await work();
        }
        catch (UnusableInputException e)
        {
            answer = Reply(new Refusal(e.Code, e.Message), Json.Refusal) with { Status = StatusCodes.Status400BadRequest };
        }
        context.Response.StatusCode = answer.Status;
        if (answer.Policy is { } policy)
            context.Response.Headers.ContentSecurityPolicy = policy;
        if (answer.Body.Length == 0)
            return;
        context.Response.ContentType = answer.Type;
        await context.Response.Body.WriteAsync(answer.Body, context.RequestAborted);
    }
}
