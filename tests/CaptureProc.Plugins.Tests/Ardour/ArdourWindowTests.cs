using System.Diagnostics;
using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Screen;
using CaptureProc.Screen.Drawing;
using CaptureProc.Testing;

namespace CaptureProc.Plugins.Tests.Ardour;

/// <summary>The windows of all classes, opened by a real host; a picture of each lies in the test's output, under ardour-windows.</summary>
[Collection(NativePlugins.Collection)]
public sealed class ArdourWindowTests(NativePlugins plugins)
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(8);

    [Fact]
    public void ARealHostShowsTheWindowOfEveryClass()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "the host runs on Linux");
        var folder = Path.Combine(AppContext.BaseDirectory, "ardour-windows");
        if (Directory.Exists(folder))
            Directory.Delete(folder, recursive: true);
        Run(plugins.BundlePath, folder, [.. Bundle.Classes.Select(c => $"{c.Name}:{c.Buses.InputChannels}")]);
        foreach (var offered in Bundle.Classes)
        {
            using var picture = Picture.Load(Path.Combine(folder, offered.Name.Replace(" ", "", StringComparison.Ordinal) + ".png"));
            var (own, colours, pixels) = (0, new HashSet<uint>(), picture.Width * picture.Height);
            for (var y = 0; y < picture.Height; y++)
                foreach (var pixel in picture.Row(y))
                {
                    var colour = pixel & 0xFFFFFF;
                    colours.Add(colour);
                    own += colour == (Palette.Usual.Ground.Argb & 0xFFFFFF) || colour == (Palette.Usual.Panel.Argb & 0xFFFFFF) || colour == (Palette.Usual.Well.Argb & 0xFFFFFF) ? 1 : 0;
                }
            // Below the host's own bar it is our ground, our panels, and letters in many shades.
            Assert.True(own > 0.6 * pixels, $"{offered.Name}: {own} of {pixels} pixels are the window's own grounds.");
            Assert.True(colours.Count > 200, $"{offered.Name}: {colours.Count} colours.");
        }
    }

    private static void Run(string bundlePath, string folder, string[] classes)
    {
        var start = new ProcessStartInfo("bash")
        {
            ArgumentList = { Path.Combine(NativeBundle.RepositoryRoot(), "tests", "ArdourHost", "windows.sh"), bundlePath, folder },
            RedirectStandardOutput = true, RedirectStandardError = true,
        };
        foreach (var name in classes)
            start.ArgumentList.Add(name);
        using var process = Process.Start(start)!;
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEndAsync();
        if (!process.WaitForExit(Patience))
        {
            process.Kill(entireProcessTree: true);
            Assert.Fail($"Ardour did not end within {Patience}.");
        }
        Assert.True(process.ExitCode == 0, $"windows.sh failed:\n{output.Result}\n{errors.Result}");
    }
}
