using System.Security.Cryptography;
using CaptureProc.Session;

namespace CaptureProc.Report.Readings;

/// <summary>Finds the recording that a session was measured from, by the session's own history.</summary>
public static class SlateRecording
{
    /// <summary>The files of the last <c>measure</c>, with the words between them, beside the session or where the command runs, if they are still the same.</summary>
    /// <param name="session">The session.</param>
    /// <param name="array">The array that was measured against.</param>
    /// <param name="sessionPath">Where the session is.</param>
    /// <param name="problem">Why there are none, in words for the page.</param>
    public static IReadOnlyList<string> Find(SessionDocument session, ArrayEntry array, string sessionPath, out string? problem)
    {
        problem = null;
        if (Measured(session, array) is not { } measured)
        {
            problem = "The session's history names no slate recording.";
            return [];
        }
        var folder = Path.GetDirectoryName(Path.GetFullPath(sessionPath)) ?? ".";
        var found = new List<string>();
        foreach (var input in measured.Inputs)
        {
            var path = new[] { Path.Combine(folder, input.File), Path.Combine(folder, Path.GetFileName(input.File)), Path.GetFullPath(input.File) }.FirstOrDefault(File.Exists);
            if (path is null)
                problem = $"The slate recording {input.File} is not beside the session any more.";
            else if (input.Sha256.Length > 0 && !HashOf(path).Equals(input.Sha256, StringComparison.OrdinalIgnoreCase))
                problem = $"The file {input.File} is no longer the one that was measured.";
            else
            {
                if (input.Joined is { } word && found.Count > 0)
                    found.Add(word);
                found.Add(path);
            }
        }
        return problem is null ? found : [];
    }

    /// <summary>Whether it was measured with its time stamps left aside.</summary>
    public static bool IgnoresStamps(SessionDocument session, ArrayEntry array) => Measured(session, array)?.IgnoreStamps == true;

    private static HistoryEntry? Measured(SessionDocument session, ArrayEntry array)
    {
        var command = session.IsMain(array) ? "measure" : $"measure --array {array.Id}";
        return session.History.LastOrDefault(h => h.Command == command && h.Inputs.Count > 0);
    }

    private static string HashOf(string path)
    {
        using var stream = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(stream));
    }
}
