using System.Diagnostics;
using System.Runtime.InteropServices;
using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Vst3.TestPlugin;

[assembly: AssemblyFixture(typeof(CaptureProc.Vst3.Tests.Hosting.NativeGain))]

namespace CaptureProc.Vst3.Tests.Hosting;

/// <summary>The gain effect, compiled natively, as a bundle.</summary>
public sealed class NativeGain
{
    public string Bundle { get; } = NativeBundle.Build("tests/CaptureProc.Vst3.TestPlugin", "CaptureProc.Vst3.TestPlugin", "BindingGain");
}

/// <summary>The natively compiled library in our own host.</summary>
public sealed unsafe class NativeLibraryTests(NativeGain gain)
{
    private const uint GainId = 10;
    private const uint PeakId = 13;

    [Fact]
    public void TheLibraryListsItsClassWithAllThatWasSaidOfIt()
    {
        using var bundle = PluginBundle.Load(gain.Bundle);
        var pluginClass = Assert.Single(bundle.Classes);
        Assert.Equal(
            new PluginClass(GainEffect.Class.Id, "Binding Gain", "Audio Module Class", "Fx|Tools", "CaptureProc", "1.0.0"), pluginClass);
        using var effect = bundle.Create(pluginClass);
        Assert.Equal(["Gain", "Mode", "Bypass", "Peak"], effect.Parameters.Select(p => p.Title));
        Assert.Equal((2, 2, 0, 0u), (effect.InputChannels, effect.OutputChannels, effect.LatencyFrames, effect.TailFrames));
        Assert.Equal("Inverted", effect.TextOf(11, 1));
        Assert.True(effect.TryParse(11, "inverted", out var value));
        Assert.Equal(1, value);
    }

    [Fact]
    public void ItProcessesWhatTheFormulaSays()
    {
        using var bundle = PluginBundle.Load(gain.Bundle);
        using var effect = bundle.Create(bundle.Classes[0]);
        effect.SetNormalized(GainId, 0.25);
        effect.SetNormalized(11, 1);
        effect.Start(48000, 256);
        var random = new Random(21);
        foreach (ref var sample in effect.Input<float>(1))
            sample = random.NextSingle() - 0.5f;
        effect.Process(256);
        for (var i = 0; i < 256; i++)
            Assert.Equal(-0.5f * effect.Input<float>(1)[i], effect.Output<float>(1)[i]);
        Assert.Equal(effect.Output<float>(1).ToArray().Max(MathF.Abs) / 2, effect.GetNormalized(PeakId), 1e-6);
    }

    [Fact]
    public void ProcessingAllocatesNothingInsideTheLibraryFromTheFirstCallOn()
    {
        using var bundle = PluginBundle.Load(gain.Bundle);
        var library = NativeLibrary.Load(BundleLayout.LibraryOf(gain.Bundle));
        var report = (delegate* unmanaged<long*, long*, void>)NativeLibrary.GetExport(library, "AudioThreadGuardReport");
        long bytesBefore, callsBefore, bytes, calls;
        report(&bytesBefore, &callsBefore);
        for (var instance = 0; instance < 3; instance++)
        {
            using var effect = bundle.Create(bundle.Classes[0]);
            effect.Start(48000, 128, ProcessMode.Realtime);
            for (var block = 0; block < 50; block++)
            {
                effect.AddPoint(GainId, 0, 0.3);
                effect.AddPoint(GainId, 128, 0.4);
                effect.AddPoint(12, 64, block % 2);
                effect.Process(block % 129);
            }
            effect.SetState(effect.GetState());
            effect.Process(128);
        }
        report(&bytes, &calls);
        Assert.True(calls - callsBefore >= 153, "the library was built without its guard");
        Assert.Equal(0, bytes - bytesBefore);
        NativeLibrary.Free(library);
    }

    [Fact]
    public void LoadingAndLettingGoManyTimesIsHarmless()
    {
        for (var i = 0; i < 20; i++)
        {
            using var bundle = PluginBundle.Load(gain.Bundle);
            using var effect = bundle.Create(bundle.Classes[0]);
            effect.Start(48000, 64);
            effect.Process(64);
        }
    }

    [Fact]
    public void TheLibraryIsMarkedAsNeverToBeUnloaded()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "the mark belongs to ELF libraries");
        // readelf is part of binutils, which the native linker needs anyway.
        var start = new ProcessStartInfo("readelf", ["-d", BundleLayout.LibraryOf(gain.Bundle)]) { RedirectStandardOutput = true };
        using var process = Process.Start(start)!;
        var dynamic = process.StandardOutput.ReadToEnd();
        Assert.Matches(@"FLAGS_1.*NODELETE", dynamic);
    }

    [Fact]
    public void AMissingAForeignAndAnEmptyBundleAreEachNamedInOneLine()
    {
        var folder = Directory.CreateTempSubdirectory();
        try
        {
            var missing = Path.Combine(folder.FullName, "Missing.vst3");
            Assert.Contains("no plug-in at", Assert.Throws<PluginException>(() => PluginBundle.Load(missing)).Message);
            var empty = Directory.CreateDirectory(Path.Combine(folder.FullName, "Empty.vst3")).FullName;
            Assert.Contains("nothing for this machine", Assert.Throws<PluginException>(() => PluginBundle.Load(empty)).Message);
            var text = Path.Combine(folder.FullName, "Text.vst3");
            File.WriteAllText(text, "not a library");
            var message = Assert.Throws<PluginException>(() => PluginBundle.Load(text)).Message;
            Assert.Contains("cannot be loaded", message);
            Assert.DoesNotContain('\n', message);
            Assert.SkipUnless(OperatingSystem.IsLinux(), "the library named here is that of Linux");
            Assert.Contains("entry function", Assert.Throws<PluginException>(() => PluginBundle.Load("/lib/x86_64-linux-gnu/libm.so.6")).Message);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
