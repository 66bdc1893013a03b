using CaptureProc.DeskServer.Serving;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;

namespace CaptureProc.DeskServer;

/// <summary>The page and its parts.</summary>
internal static class PageRoutes
{
    public static void Map(IEndpointRouteBuilder routes, PageFiles page)
    {
        routes.MapGet("/", (HttpContext context) => Send(context, page, "index.html"));
        routes.MapGet("/page/{**name}", (HttpContext context, string name) => Send(context, page, name));
    }

    private static Task Send(HttpContext context, PageFiles page, string name)
    {
        if (page.Find(name) is not { } file)
        {
            context.Response.StatusCode = StatusCodes.Status404NotFound;
            return context.Response.WriteAsync("The desk has no such part.\n");
        }
        context.Response.ContentType = file.Type;
        return context.Response.Body.WriteAsync(file.Bytes).AsTask();
    }
}
