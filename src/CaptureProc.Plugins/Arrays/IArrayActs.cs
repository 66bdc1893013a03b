namespace CaptureProc.Plugins.Arrays;

/// <summary>What a hand can have the array plug-in do: the buttons of its window.</summary>
/// <remarks>
/// Thread: [main], the host's thread of the user interface, from the handler of a click; none of them waits for a disk.
/// A window gets the effect itself and calls these; nothing else is needed: each tells the host of the values that it changes, and what
/// became of it stands in the read-only parameter "Line-up kept". They are no parameters, so no automation reaches them. (The three
/// parameters of the same names are for hosts' generic panels. They act only while the host says that a hand is on them,
/// see <see cref="Vst3.Effects.Parameter.AsAct"/>.)
/// </remarks>
public interface IArrayActs
{
    /// <summary>The presets that can be taken, by name.</summary>
    IReadOnlyList<string> Presets { get; }

    /// <summary>Keeps the line-up that has been measured in the host's project, and plays it where no other trims are in use.</summary>
    void KeepLineUp();

    /// <summary>Writes the kept line-up into the chosen session's file, as <c>level</c> would; the worker of files does it, soon.</summary>
    void WriteLineUpToSession();

    /// <summary>Sets order, radius, pattern and mount to those of a preset, and the array to be that; an unknown name changes nothing.</summary>
    /// <returns>Whether there is such a preset.</returns>
    bool TakePreset(string name);
}
