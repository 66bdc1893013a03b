using System.Text.Json;
using CaptureProc.Testing;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Tests;

/// <summary>The description beside the library. Hosts that read it do not load the library, so the two must never part.</summary>
/// <remarks>Source of the members: VST 3 documentation, "ModuleInfo-JSON", SDK 3.8.</remarks>
public sealed class ModuleInfoTests
{
    // As installer/version.sh fills it in.
    private static readonly JsonElement File = JsonDocument.Parse(
        Installed("moduleinfo.json").Replace("@VERSION@", Bundle.Version, StringComparison.Ordinal)).RootElement;

    [Fact]
    public void ItSaysOfTheLibraryWhatTheFactorySays()
    {
        Assert.Equal(Bundle.Version, File.GetProperty("Version").GetString());
        var info = File.GetProperty("Factory Info");
        Assert.Equal(
            (Bundle.Description.Vendor, Bundle.Description.Url, Bundle.Description.Email),
            (info.GetProperty("Vendor").GetString(), info.GetProperty("URL").GetString(), info.GetProperty("E-Mail").GetString()));
        var flags = info.GetProperty("Flags");
        Assert.True(flags.GetProperty("Unicode").GetBoolean());
        Assert.True(flags.GetProperty("Component Non Discardable").GetBoolean());
        Assert.False(flags.GetProperty("Classes Discardable").GetBoolean());
    }

    [Fact]
    public void TheVersionStandsInOnePlaceForEveryFileThatNamesIt()
    {
        var properties = System.IO.File.ReadAllText(Path.Combine(NativeBundle.RepositoryRoot(), "src/Directory.Build.props"));
        Assert.Contains($"<Version>{Bundle.Version}</Version>", properties, StringComparison.Ordinal);
        Assert.All(["moduleinfo.json", "macos/Info.plist", "linux/org.captureproc.captureproc.metainfo.xml"], name =>
        {
            Assert.Contains("@VERSION@", Installed(name), StringComparison.Ordinal);
            Assert.DoesNotContain($"\"{Bundle.Version}\"", Installed(name), StringComparison.Ordinal);
            Assert.DoesNotContain($">{Bundle.Version}<", Installed(name), StringComparison.Ordinal);
        });
        // The newest entry of the change log is this version.
        Assert.StartsWith($"## {Bundle.Version}", Array.Find(Installed("CHANGELOG.md").Split('\n'), line => line.StartsWith("## ", StringComparison.Ordinal)), StringComparison.Ordinal);
    }

    [Fact]
    public void ItListsTheClassesOfTheFactoryAndNoOthers()
    {
        var expected = Bundle.Classes.Select(c => (c.Id.ToString(), EffectFactory.AudioCategory, c.Name, Bundle.Description.Vendor, c.Version, c.SubCategories, EffectFactory.SdkVersion));
        var written = File.GetProperty("Classes").EnumerateArray().Select(c => (
            Text(c, "CID"), Text(c, "Category"), Text(c, "Name"), Text(c, "Vendor"), Text(c, "Version"),
            string.Join('|', c.GetProperty("Sub Categories").EnumerateArray().Select(s => s.GetString())), Text(c, "SDKVersion")));
        Assert.Equal(expected, written);
        Assert.All(File.GetProperty("Classes").EnumerateArray(), c =>
        {
            Assert.Equal(2, c.GetProperty("Class Flags").GetInt32());
            Assert.Equal(int.MaxValue, c.GetProperty("Cardinality").GetInt32());
        });
    }

    [Fact]
    public void NoTwoClassesShareAnIdANameOrTheLettersOfTheirState()
    {
        Assert.Equal(Bundle.Classes.Count, Bundle.Classes.Select(c => c.Id).Distinct().Count());
        Assert.Equal(Bundle.Classes.Count, Bundle.Classes.Select(c => c.Name).Distinct().Count());
        Assert.Equal(Bundle.Classes.Count, Bundle.Classes.Select(c => c.StateMagic).Distinct().Count());
        Assert.All(Bundle.Classes, c => Assert.Equal(4, c.StateMagic.Length));
    }

    private static string Installed(string name) => System.IO.File.ReadAllText(Path.Combine(NativeBundle.RepositoryRoot(), "installer", name));

    private static string Text(JsonElement element, string name) => element.GetProperty(name).GetString() ?? "";
}
