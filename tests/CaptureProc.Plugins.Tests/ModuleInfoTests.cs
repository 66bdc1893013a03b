using System.Text.Json.Nodes;
using CaptureProc.Testing;

namespace CaptureProc.Plugins.Tests;

public class ModuleInfoTests
{
    // Hosts that read this file do not load the library to list its classes, so the two must never part.
    [Fact]
    public void TheFileBesideTheLibraryListsWhatTheLibraryOffers()
    {
        var path = Path.Combine(NativeBundle.RepositoryRoot(), "installer", "moduleinfo.json");
        var info = JsonNode.Parse(File.ReadAllText(path))!;
        Assert.Equal(Bundle.Description.Vendor, (string)info["Factory Info"]!["Vendor"]!);
        Assert.Equal(Bundle.Version, (string)info["Version"]!);
        var listed = info["Classes"]!.AsArray().Select(c => string.Join('\n',
            (string)c!["CID"]!, (string)c["Name"]!, (string)c["Version"]!, string.Join('|', c["Sub Categories"]!.AsArray().Select(s => (string)s!))));
        var offered = Bundle.Classes.Select(c => string.Join('\n', c.Id.ToString(), c.Name, c.Version, c.SubCategories));
        Assert.Equal(offered, listed);
    }
}
