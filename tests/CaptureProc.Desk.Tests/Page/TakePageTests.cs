using System.Text.Json;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.DeskServer.Tests.Page;

[Collection(BrowserTests.Name)]
public sealed class TakePageTests(Browser browser)
{
    [Theory]
    [InlineData(1, 40, 0)]
    [InlineData(2, -75, 20)]
    public async Task WhatTheEarsGetIsWhatMixAndListenWrite(int order, int yawDeg, int pitchDeg)
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        var (session, take, mix, ears) = (desk.File("evening.json"), desk.File("take.wav"), desk.File("mix.wav"), desk.File("ears.wav"));
        OpenDesk.Command("mix", session, take, mix, "--order", $"{order}", "--bits", "32f");
        OpenDesk.Command("listen", session, mix, ears, "--yaw", $"{yawDeg}", "--pitch", $"{pitchDeg}", "--bits", "32f");

        List<string> complaints = [];
        var page = await browser.Open(desk, "take", complaints);
        var gains = JsonSerializer.Serialize(new[] { 1.0 }.Concat(SessionStore.Read(session).Spots.Select(s => Math.Pow(10, (s.GainDb ?? 0) / 20))));
        var heard = await page.EvaluateAsync<float[][]>(
            $"import('/page/audio/player.js').then(m => m.renderOffline(['take.wav'], {{ trim: null, correction: 'full', later: 0, aligned: true }}, {order}, {gains}, [{yawDeg}, {pitchDeg}, 0], 4))");

        using var written = WavInput.Open(ears);
        var wanted = new[] { new float[heard[0].Length], new float[heard[0].Length] };
        written.Read(wanted, heard[0].Length);
        // The browser's convolvers keep the head's own latency, which 'listen' takes out.
        var latency = Dsp.Binaural.BinauralDecoder.LatencyFrames(written.SampleRateHz);
        var (error, power) = (0.0, 0.0);
        for (var ear = 0; ear < 2; ear++)
            for (var n = 0; n + latency < heard[ear].Length; n++)
            {
                error += Math.Pow(heard[ear][n + latency] - wanted[ear][n], 2);
                power += Math.Pow(wanted[ear][n], 2);
            }
        Assert.InRange(10 * Math.Log10(error / power), double.NegativeInfinity, -90);
        Assert.Equal([], complaints);
        await page.CloseAsync();
    }

    [Fact]
    public async Task ListeningGoesOnThroughASwitchOfSidesAndATurnOfTheHead()
    {
        await using var desk = await OpenDesk.Start(d => browser.Demo.CopySession(d.Folder));
        List<string> complaints = [];
        var page = await browser.Open(desk, "take", complaints);
        await page.ClickAsync("#play:not([disabled])");
        await page.WaitForSelectorAsync(".take[data-frame]:not([data-frame='0'])");
        var before = await page.GetAttributeAsync(".take", "data-frame");
        await page.ClickAsync("#side-1");
        await page.FocusAsync(".head-dial");
        await page.Keyboard.PressAsync("ArrowLeft");
        Assert.Equal("5", await page.GetAttributeAsync(".head-dial", "aria-valuenow"));
        await page.WaitForSelectorAsync($".take:not([data-frame='{before}'])");
        Assert.Equal("true", await page.GetAttributeAsync("#side-1", "aria-pressed"));
        Assert.Equal([], complaints);
        await page.CloseAsync();
    }
}
