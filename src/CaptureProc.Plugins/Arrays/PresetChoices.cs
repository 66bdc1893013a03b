using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The presets whose values can be taken into the parameters by hand.</summary>
/// <remarks>
/// Choosing one is an act, not a setting: it writes order, radius, pattern and mount, and the choice springs back. So no
/// project depends on the list of presets of the day.
/// </remarks>
internal static class PresetChoices
{
    /// <summary>Value 0 is the resting place.</summary>
    public const int Count = 32;

    public static string NameOf(int choice)
    {
        var presets = PresetLibrary.List();
        return choice == 0 ? "Choose …" : choice <= presets.Count ? presets[choice - 1].Name : $"No preset ({choice})";
    }

    /// <summary>The preset at a place; null at rest and where there is none.</summary>
    public static Preset? At(int choice)
    {
        var presets = PresetLibrary.List();
        return choice > 0 && choice <= presets.Count ? presets[choice - 1] : null;
    }
}
