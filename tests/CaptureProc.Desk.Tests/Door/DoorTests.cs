using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;

namespace CaptureProc.DeskServer.Tests.Door;

public sealed class DoorTests : IAsyncLifetime
{
    private OpenDesk desk = null!;

    public async ValueTask InitializeAsync() => desk = await OpenDesk.Start(d =>
    {
        OpenDesk.Command("start", d.File("evening.json"), "--array", "main=1-4", "--spot", "harp=5");
        OpenDesk.Command("signal", "pink", d.File("noise.wav"), "--seconds", "1");
    });

    public ValueTask DisposeAsync() => desk.DisposeAsync();

    [Fact]
    public async Task OnlyThisMachineIsListenedTo()
    {
        // RFC 1122 3.2.1.3: 127/8 is this host and never leaves it; the listener is bound to it, so no other interface answers.
        var port = desk.Host.Address.Port;
        var listeners = System.Net.NetworkInformation.IPGlobalProperties.GetIPGlobalProperties().GetActiveTcpListeners().Where(l => l.Port == port);
        Assert.Equal([IPAddress.Loopback], listeners.Select(l => l.Address));
        Assert.Equal("127.0.0.1", desk.Host.Address.Host);
        await Task.CompletedTask;
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/?key=")]
    [InlineData("/?key=0000000000000000000000000000000000000000000000000000000000000000")]
    [InlineData("/api/state")]
    [InlineData("/page/app.js")]
    [InlineData("/api/wave?rec=noise.wav&first=0&frames=100&columns=10")]
    public async Task WithoutTheKeyNothingIsSaidButWhereItIs(string path)
    {
        using var client = new HttpClient { BaseAddress = new Uri(desk.Origin) };
        var answer = await client.GetAsync(path);
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.Contains("captureproc desk", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheKeyBecomesACookieThatNoScriptAndNoOtherSiteGets()
    {
        using var client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, UseCookies = false });
        var answer = await client.GetAsync(desk.Host.Address);
        var cookie = Assert.Single(answer.Headers.GetValues("Set-Cookie"));
        Assert.Contains("httponly", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Contains("samesite=strict", cookie, StringComparison.OrdinalIgnoreCase);
        Assert.Equal("/", answer.Headers.Location!.ToString());
        // Whoever reads the address over a shoulder has no cookie yet, and the cookie does not contain the key.
        Assert.DoesNotContain(desk.Host.Address.Query[5..], cookie, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("localhost")]
    [InlineData("evil.example")]
    [InlineData("127.0.0.1")]
    [InlineData("127.0.0.1:1")]
    [InlineData("[::1]")]
    public async Task AForeignNameForThisMachineIsMisdirected(string host)
    {
        using var client = await desk.Enter();
        using var request = new HttpRequestMessage(HttpMethod.Get, "/api/state");
        request.Headers.Host = host;
        var answer = await client.SendAsync(request);
        Assert.Equal(HttpStatusCode.MisdirectedRequest, answer.StatusCode);
        Assert.NotEmpty(await answer.Content.ReadAsStringAsync());
    }

    [Theory]
    [InlineData("https://evil.example")]
    [InlineData("null")]
    [InlineData("http://localhost")]
    [InlineData(null)]
    public async Task AnotherPageCannotOrderAnything(string? origin)
    {
        using var client = await desk.Enter();
        client.DefaultRequestHeaders.Remove("Origin");
        using var request = new HttpRequestMessage(HttpMethod.Post, "/api/orders") { Content = Order("level", ["noise.wav"]) };
        if (origin is not null)
            request.Headers.Add("Origin", origin);
        var answer = await client.SendAsync(request);
        Assert.Equal(HttpStatusCode.Forbidden, answer.StatusCode);
        Assert.NotEmpty(await answer.Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task EveryAnswerShutsThePageIn()
    {
        using var client = await desk.Enter();
        foreach (var path in new[] { "/", "/api/state", "/no-such-part" })
        {
            var headers = (await client.GetAsync(path)).Headers;
            Assert.StartsWith("default-src 'none'", headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
            Assert.DoesNotContain("unsafe", headers.GetValues("Content-Security-Policy").Single(), StringComparison.Ordinal);
            Assert.Equal("same-origin", headers.GetValues("Cross-Origin-Opener-Policy").Single());
            Assert.Equal("require-corp", headers.GetValues("Cross-Origin-Embedder-Policy").Single());
            Assert.Equal("nosniff", headers.GetValues("X-Content-Type-Options").Single());
        }
    }

    [Theory]
    [InlineData("../secret.wav")]
    [InlineData("a/../../secret.wav")]
    [InlineData("/etc/hostname")]
    [InlineData("..")]
    [InlineData("")]
    [InlineData("--help")]
    [InlineData("sub/./noise.wav")]
    [InlineData("..\\secret.wav")]
    [InlineData("noise.wav\0.html")]
    public async Task NothingOutsideTheFolderIsReadOrWritten(string name)
    {
        using var client = await desk.Enter();
        var wave = await client.GetAsync($"/api/wave?rec={Uri.EscapeDataString(name)}&first=0&frames=10&columns=10");
        Assert.Equal(HttpStatusCode.BadRequest, wave.StatusCode);
        var read = await client.PostAsync("/api/orders", Order("level", [name]));
        Assert.Equal(HttpStatusCode.BadRequest, read.StatusCode);
        var written = await client.PostAsync("/api/orders", Order("convert", ["noise.wav"], name));
        Assert.Equal(HttpStatusCode.BadRequest, written.StatusCode);
    }

    [Fact]
    public async Task ALinkOutOfTheFolderLeadsNowhere()
    {
        using var outside = new TemporaryFolder();
        OpenDesk.Command("signal", "pink", outside.File("secret.wav"), "--seconds", "1");
        File.CreateSymbolicLink(desk.File("secret.wav"), outside.File("secret.wav"));
        File.CreateSymbolicLink(desk.File("new.wav"), outside.File("new.wav"));
        Directory.CreateSymbolicLink(desk.File("door"), outside.Path);
        using var client = await desk.Enter();
        foreach (var name in new[] { "secret.wav", "door/secret.wav" })
            Assert.Equal(HttpStatusCode.BadRequest, (await client.GetAsync($"/api/wave?rec={name}&first=0&frames=10&columns=10")).StatusCode);
        foreach (var name in new[] { "new.wav", "door/new.wav" })
            Assert.Equal(HttpStatusCode.BadRequest, (await client.PostAsync("/api/orders", Order("convert", ["noise.wav"], name))).StatusCode);
        var state = await client.GetStringAsync("/api/state");
        Assert.DoesNotContain("secret", state, StringComparison.Ordinal);
        Assert.Equal(["secret.wav"], Directory.GetFiles(outside.Path).Select(Path.GetFileName));
    }

    [Theory]
    [InlineData("host")]
    [InlineData("publish")]
    [InlineData("desk")]
    [InlineData("LEVEL")]
    [InlineData("")]
    public async Task OnlyTheDesksOwnCommandsCanBeOrdered(string command)
    {
        using var client = await desk.Enter();
        Assert.Equal(HttpStatusCode.BadRequest, (await client.PostAsync("/api/orders", Order(command, ["noise.wav"]))).StatusCode);
    }

    [Theory]
    [InlineData("--no-such", "1")]
    [InlineData("noise.wav", null)]
    [InlineData("--set=x --array", "main")]
    public async Task OnlyOptionsOfThatCommandCanBeOrdered(string option, string? value)
    {
        using var client = await desk.Enter();
        var answer = await client.PostAsync("/api/orders", Order("level", ["noise.wav"], null, (option, value)));
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
    }

    [Fact]
    public async Task AValueIsNeverTakenForAnotherOptionOrAFile()
    {
        using var client = await desk.Enter();
        var before = await File.ReadAllBytesAsync(desk.File("evening.json"));
        var answer = await client.PostAsync("/api/orders", Order("level", ["noise.wav"], null, ("--array", "--dry-run")));
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        var job = await Ended(client);
        Assert.Equal(2, job.GetProperty("exitCode").GetInt32());
        Assert.Contains("--dry-run", job.GetProperty("result").GetProperty("error").GetProperty("message").GetString(), StringComparison.Ordinal);
        Assert.Equal(before, await File.ReadAllBytesAsync(desk.File("evening.json")));
    }

    [Fact]
    public async Task TenThousandMalformedRequestsLeaveTheDeskAsItWas()
    {
        var random = new Random(31415);
        var requests = Enumerable.Range(0, 10_000).Select(_ => Encoding.Latin1.GetBytes(Malformed(random, desk.Host.Address.Port))).ToList();
        await Parallel.ForEachAsync(requests, new ParallelOptions { MaxDegreeOfParallelism = 8 }, async (request, stop) =>
        {
            using var socket = new TcpClient { LingerState = new LingerOption(true, 0) };
            await socket.ConnectAsync(IPAddress.Loopback, desk.Host.Address.Port, stop);
            var stream = socket.GetStream();
            try
            {
                await stream.WriteAsync(request, stop);
                socket.Client.Shutdown(SocketShutdown.Send);
                var answer = new byte[4096];
                var got = await stream.ReadAsync(answer, stop);
                Assert.DoesNotContain("200 OK", Encoding.Latin1.GetString(answer, 0, got), StringComparison.Ordinal);
            }
            catch (IOException)
            {
                // The desk hangs up on nonsense, which is its right.
            }
        });
        using var client = await desk.Enter();
        Assert.Equal(HttpStatusCode.OK, (await client.GetAsync("/api/state")).StatusCode);
        Assert.Equal(["evening.json", "noise.wav"], Directory.GetFiles(desk.Folder).Select(f => Path.GetFileName(f)!).Where(f => !f.StartsWith('.')).Order());
    }

    private static string Malformed(Random random, int port)
    {
        string[] verbs = ["GET", "POST", "PUT", "\0\0", "GET GET", "", "\u00ff\u00fe"];
        string[] paths = ["/", "/api/state", "/api/../../etc/passwd", "/%2e%2e/%2e%2e/x", "/api/wave?rec=%00", "*", "//evil.example/", "/page/..%2fdesk.js", new string('a', 9000)];
        return random.Next(4) switch
        {
            0 => $"{verbs[random.Next(verbs.Length)]} {paths[random.Next(paths.Length)]} HTTP/{random.Next(4)}.{random.Next(4)}\r\n\r\n",
            1 => $"GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Length: {random.Next(-5, 1 << 30)}\r\n\r\n",
            2 => $"POST /api/orders HTTP/1.1\r\nHost: a\r\nHost: b\r\nTransfer-Encoding: chunked\r\n\r\n{random.Next():x}\r\n",
            _ => new string([.. Enumerable.Range(0, random.Next(1, 200)).Select(_ => (char)random.Next(256))]),
        };
    }

    internal static StringContent Order(string command, string[] inputs, string? output = null, params (string Name, string? Value)[] options)
    {
        var json = JsonSerializer.Serialize(new { command, inputs, output, options = options.Select(o => new { name = o.Name, value = o.Value }) });
        return new StringContent(json, Encoding.UTF8, "application/json");
    }

    /// <summary>The newest job, when it has ended.</summary>
    internal static async Task<JsonElement> Ended(HttpClient client)
    {
        while (true)
        {
            using var state = JsonDocument.Parse(await client.GetStringAsync("/api/state"));
            var job = state.RootElement.GetProperty("jobs").EnumerateArray().Last().Clone();
            if (job.GetProperty("exitCode").ValueKind == JsonValueKind.Number)
                return job;
            await Task.Delay(30);
        }
    }
}
