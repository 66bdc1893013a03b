using System.Reflection;
using System.Text.Json;
using CaptureProc.Session.Json;

namespace CaptureProc.Session;

/// <summary>The array geometries that come with the program: the files of <c>presets/</c>, embedded.</summary>
public static class PresetLibrary
{
    private const string ResourcePrefix = "presets/";

    private static readonly Lazy<IReadOnlyList<Preset>> All = new(Load);

    /// <summary>The preset that <c>start</c> takes when none is named.</summary>
    public const string DefaultName = "tetra-15mm-cardioid";

    /// <summary>Every preset, by name.</summary>
    public static IReadOnlyList<Preset> List() => All.Value;

    /// <summary>The preset of a name, in either case; names of earlier versions are understood but not listed.</summary>
    public static Preset Find(string name) =>
        List().FirstOrDefault(p => string.Equals(p.Name, name, StringComparison.OrdinalIgnoreCase))
        ?? EarlierPresets.Find(name, List())
        ?? throw new UnusableInputException("no-such-preset",
            $"there is no preset '{name}'; there are {string.Join(", ", List().Select(p => p.Name))}");

    private static Preset[] Load()
    {
        var assembly = Assembly.GetExecutingAssembly();
        return [.. assembly.GetManifestResourceNames()
            .Where(name => name.StartsWith(ResourcePrefix, StringComparison.Ordinal))
            .Order(StringComparer.Ordinal)
            .Select(name =>
            {
                using var stream = assembly.GetManifestResourceStream(name)!;
                return JsonSerializer.Deserialize(stream, SessionJson.Published.Preset)!;
            })];
    }
}
