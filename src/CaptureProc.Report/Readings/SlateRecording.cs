using System.Security.Cryptography;
using CaptureProc.Session;

namespace CaptureProc.Report.Readings;

/// <summary>Finds the recording that a session was measured from, by the session's own history.</summary>
public static class SlateRecording
{
    /// <summary>The files of the last <c>measure</c>, beside the session or where the command runs, if they are still the same.</summary>
    /// <param name="session">The session.</param>
    /// <param name="array">The array that was measured against.</param>
    /// <param name="sessionPath">Where the session is.</param>
    /// <param name="problem">Why there are none, in words for the page.</param>
    public static IReadOnlyList<string> Find(SessionDocument session, ArrayEntry array, string sessionPath, out string? problem)
    {
        problem = null;
        var command = session.IsMain(array) ? "measure" : $"measure --array {array.Id}";
        if (session.History.LastOrDefault(h => h.Command == command && h.Inputs.Count > 0) is not { } measured)
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
                found.Add(path);
        }
        return problem is null ? found : [];
    }

    private static string HashOf(string path)
    {
        using var stream = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(stream));
    }
}
