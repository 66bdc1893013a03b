namespace CaptureProc.Session;

/// <summary>Which names Windows does not give to files: devices that were there before folders were, and signs with another meaning.</summary>
/// <remarks>
/// Thread: [any]. Windows does not refuse them: it writes to the device (<c>nul</c>), to a stream beside a file (<c>take:b.wav</c>), or to a
/// name without its last dot, and the recording is not where it was meant to be.
/// Source: Microsoft, "Naming Files, Paths, and Namespaces".
/// </remarks>
internal static class WindowsNames
{
    private static readonly string[] Devices = ["CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"];
    private const string Numbers = "0123456789¹²³";

    /// <summary>Why a path cannot become a file on Windows, in words; null where it can.</summary>
    public static string? Problem(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        // A drive is the only place for a colon; \\?\ and \\.\ are asked for by people who know.
        if (path.StartsWith(@"\\?\", StringComparison.Ordinal) || path.StartsWith(@"\\.\", StringComparison.Ordinal))
            return null;
        var rest = path.Length > 1 && char.IsAsciiLetter(path[0]) && path[1] == ':' ? path[2..] : path;
        foreach (var part in rest.Split('\\', '/'))
        {
            if (part.IndexOfAny(['<', '>', ':', '"', '|', '?', '*']) is var at and >= 0)
                return $"Windows allows no '{part[at]}' in a name";
            if (part.Any(char.IsControl))
                return "Windows allows no control characters in a name";
            if (IsDevice(part))
                return $"'{part}' is a device on Windows";
            if (part.Length > 0 && part is not ("." or "..") && part[^1] is '.' or ' ')
                return "Windows drops dots and spaces at the end of a name";
        }
        return null;
    }

    /// <summary>Whether a name stands for a device, with whatever ending.</summary>
    public static bool IsDevice(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        var stem = name.Split('.')[0].TrimEnd(' ').ToUpperInvariant();
        return Devices.Contains(stem)
            || stem.Length == 4 && (stem.StartsWith("COM", StringComparison.Ordinal) || stem.StartsWith("LPT", StringComparison.Ordinal)) && Numbers.Contains(stem[3]);
    }
}
