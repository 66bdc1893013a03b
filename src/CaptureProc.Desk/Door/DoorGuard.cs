using System.Globalization;
using Microsoft.AspNetCore.Http;
using Microsoft.Net.Http.Headers;

namespace CaptureProc.DeskServer.Door;

/// <summary>Lets in the browser that was shown the address, and nobody else: no other page, no other machine, no other name for this one.</summary>
/// <remarks>
/// Host is checked because a foreign name may be made to point here (DNS rebinding); Origin because a foreign page may post here;
/// the cookie because any program of another user on this machine may connect. Source: OWASP cheat sheets on CSRF prevention and DNS rebinding, from memory.
/// </remarks>
internal sealed class DoorGuard(DeskKey key)
{
    private const string PagePolicy =
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        + "worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

    public int Port { get; set; }

    public async Task Pass(HttpContext context, Func<Task> next)
    {
        var (request, response) = (context.Request, context.Response);
        Shield(response.Headers);
        var origin = string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{Port}");
        if (!string.Equals(request.Headers.Host, origin["http://".Length..], StringComparison.Ordinal))
        {
            await Refuse(response, StatusCodes.Status421MisdirectedRequest, $"This desk answers at {origin} only.");
            return;
        }
        if (!IsOwnOrigin(request, origin))
        {
            await Refuse(response, StatusCodes.Status403Forbidden, "Another page may not use this desk.");
            return;
        }
        var cookie = string.Create(CultureInfo.InvariantCulture, $"captureproc-desk-{Port}");
        if (HttpMethods.IsGet(request.Method) && request.Path == "/" && request.Query["key"] is [{ } token] && key.IsToken(token))
        {
            response.Cookies.Append(cookie, key.Pass, new CookieOptions { HttpOnly = true, SameSite = Microsoft.AspNetCore.Http.SameSiteMode.Strict, Path = "/" });
            // Away from the address with the key in it, so that it stays in no history and no screenshot.
            response.StatusCode = StatusCodes.Status303SeeOther;
            response.Headers.Location = "/";
            return;
        }
        if (!key.IsPass(request.Cookies[cookie]))
        {
            await Refuse(response, StatusCodes.Status403Forbidden, "This desk opens with the whole address that 'captureproc desk' printed in the terminal.");
            return;
        }
        await next();
    }

    /// <summary>A read may come without Origin (a browser sends none with it); whatever changes something has to come from the page itself.</summary>
    private static bool IsOwnOrigin(HttpRequest request, string origin)
    {
        var isRead = HttpMethods.IsGet(request.Method) || HttpMethods.IsHead(request.Method);
        var said = request.Headers.Origin;
        if (said.Count > 0 ? said != origin : !isRead)
            return false;
        var site = request.Headers["Sec-Fetch-Site"];
        return site.Count == 0 || site == "same-origin" || (site == "none" && isRead) || (isRead && request.Path == "/" && request.Query.ContainsKey("key"));
    }

    private static void Shield(IHeaderDictionary headers)
    {
        headers.ContentSecurityPolicy = PagePolicy;
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Embedder-Policy"] = "require-corp";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        headers[HeaderNames.CacheControl] = "no-store";
    }

    private static Task Refuse(HttpResponse response, int status, string why)
    {
        response.StatusCode = status;
        response.ContentType = "text/plain; charset=utf-8";
        return response.WriteAsync(why + "\n");
    }
}
