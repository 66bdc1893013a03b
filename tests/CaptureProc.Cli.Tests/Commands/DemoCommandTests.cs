using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class DemoCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void WholeJobFindsWhatTheGeometrySays()
    {
        var place = folder.File("mill");
        var demo = CommandLine.Run("demo", place, "--json");

        Assert.True(demo.ExitCode == 0, demo.Out + demo.Error);
        Assert.True((bool)demo.Json["within"]!);
        // Stage plot against session file, by hand: 16 °C is c = 340.850 m/s (ISO 9613-1); the glass stands 2.3 m out and 1.5 m
        // under the array, its spot at (-0.2, 0.1, 0.3) from it: (√7.54 − √0.14) m, inverted, at azimuth 38°, elevation −33.11°.
        var session = SessionStore.Read(Path.Combine(place, "evening.json"));
        var glass = session.FindSpot("glass");
        Assert.Equal((Math.Sqrt(7.54) - Math.Sqrt(0.14)) / 340.850 * 48000, glass.Delay!.Samples, 0.12);
        Assert.Equal(-1, glass.Polarity);
        Assert.Equal(38, glass.Direction!.AzimuthDeg, 4.0);
        Assert.Equal(-33.11, glass.Direction.ElevationDeg, 3.5);
        // All that the job leaves behind is there and as long as the take.
        string[] written = ["field.wav", "mix.wav", Path.Combine("aligned", "main.wav"), Path.Combine("aligned", "cimbalom.wav"), Path.Combine("aligned", "saw.wav")];
        using var take = WavInput.Open(Path.Combine(place, "take.wav"));
        foreach (var name in written)
        {
            using var file = WavInput.Open(Path.Combine(place, name));
            Assert.True(file.FrameCount >= take.FrameCount, $"{name} has {file.FrameCount} frames");
        }

        string[] recorded = ["noise.wav", "taps.wav", "slate.wav", "rehearsal.wav", "take.wav", "pink.wav", "ears.wav", "out.wav", "evening.html"];
        Assert.All(recorded, name => Assert.True(File.Exists(Path.Combine(place, name)), name));
        Assert.True(session.MainArray().Patch is { Ok: true }, string.Join("; ", session.MainArray().Patch?.Problems ?? ["the patch was not checked"]));

        // A second demo in the same folder writes over nothing.
        CommandLine.Refuses("--replace", "demo", place);
    }

    [Fact]
    public void FolderThatCannotBeMadeIsRefused()
    {
        File.WriteAllText(folder.File("taken"), "");
        CommandLine.Refuses("no folder can be made there", "demo", folder.File("taken"));
    }
}
